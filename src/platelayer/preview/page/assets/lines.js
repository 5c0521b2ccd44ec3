// Lines as ten floats each: two ends, moment of begin and end, level of depth (-1: none), 1 where dashed.
const LEVELS_MOST = 10;

// Depths at which the bit cuts on the level; when there are many, bands of equal height. Returns [{low, high}].
function depthLevels(moves) {
  const seen = new Map();
  for (let i = 0; i < moves.count; i++) {
    const deep = -Math.min(moves.z0[i], moves.z1[i]);
    if (moves.kind[i] === 0 || deep <= 0.001) continue;
    const key = Math.round(deep * 50) / 50;
    seen.set(key, (seen.get(key) || 0) + 1);
  }
  const depths = [...seen.keys()].sort((a, b) => a - b);
  if (!depths.length) return [];
  if (depths.length <= LEVELS_MOST) return depths.map((depth, i) => ({ low: i ? depths[i - 1] + 0.011 : 0, high: depth + 0.011, name: depth }));
  const most = depths[depths.length - 1], count = LEVELS_MOST;
  const bands = Array.from({ length: count }, (_, i) => ({ low: most * i / count, high: most * (i + 1) / count + 0.011, name: most * (i + 1) / count }));
  return bands.filter((band) => depths.some((depth) => depth > band.low && depth <= band.high));
}

function levelOf(levels, depth) {
  const at = levels.findIndex((level) => depth <= level.high);
  return at < 0 ? levels.length - 1 : at;
}

function moveLines(moves, levels) {
  const rapids = [], cuts = [];
  for (let i = 0; i < moves.count; i++) {
    const flat = Math.hypot(moves.x1[i] - moves.x0[i], moves.y1[i] - moves.y0[i]);
    if (moves.kind[i] === 0) {
      rapids.push(moves.x0[i], moves.y0[i], moves.z0[i], moves.x1[i], moves.y1[i], moves.z1[i], moves.begin[i], moves.end[i], -1, 1);
      continue;
    }
    const level = levels.length ? levelOf(levels, -Math.min(moves.z0[i], moves.z1[i])) : 0;
    const steps = moves.kind[i] > 1 ? Math.max(2, Math.ceil(Math.abs(sweepOf(moves, i)) / 0.2)) : 1;
    if (steps === 1 && flat === 0 && moves.z0[i] === moves.z1[i]) continue;
    let from = tipAt(moves, i, 0);
    for (let s = 1; s <= steps; s++) {
      const to = tipAt(moves, i, s / steps), span = moves.end[i] - moves.begin[i];
      cuts.push(...from, ...to, moves.begin[i] + span * (s - 1) / steps, moves.begin[i] + span * s / steps, level, 0);
      from = to;
    }
  }
  return { rapids: new Float32Array(rapids), cuts: new Float32Array(cuts) };
}

function contourLines(contours, z = 0) {
  const data = [];
  for (const contour of contours) {
    const points = flatten(contour);
    for (let k = 0; k + 1 < points.length; k++) data.push(...points[k], z, ...points[k + 1], z, -2, -1, -1, 0);
  }
  return new Float32Array(data);
}
