// Contours from the block made into points, and what is asked of them.
function flatten(contour, gap = 0.02) {
  const points = [contour[0].slice(0, 2)];
  for (let k = 1; k < contour.length; k++) {
    const [x, y, cx, cy, ccw] = contour[k];
    if (cx !== undefined) {
      const [px, py] = points[points.length - 1];
      const radius = Math.hypot(px - cx, py - cy), turn = 2 * Math.PI;
      const a = Math.atan2(py - cy, px - cx), b = Math.atan2(y - cy, x - cx);
      let sweep = (((ccw ? b - a : a - b) % turn) + turn) % turn || turn;
      const steps = Math.max(2, Math.ceil(sweep / (2 * Math.acos(Math.max(1 - gap / radius, 0)))));
      if (!ccw) sweep = -sweep;
      for (let s = 1; s < steps; s++) {
        const angle = a + sweep * s / steps;
        points.push([cx + radius * Math.cos(angle), cy + radius * Math.sin(angle)]);
      }
    }
    points.push([x, y]);
  }
  return points;
}

function isInside(points, x, y) {
  let inside = false;
  for (let i = 0, j = points.length - 1; i < points.length; j = i++) {
    const [xi, yi] = points[i], [xj, yj] = points[j];
    if ((yi > y) !== (yj > y) && x < (xj - xi) * (y - yi) / (yj - yi) + xi) inside = !inside;
  }
  return inside;
}

// Triangles of a simple counter-clockwise polygon by cutting off ears.
function triangles(ring) {
  const rest = ring.slice(), out = [];
  const turn = (a, b, c) => (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
  let guard = rest.length * rest.length;
  while (rest.length > 2 && guard-- > 0) {
    const n = rest.length;
    const ear = rest.findIndex((b, i) => {
      const a = rest[(i + n - 1) % n], c = rest[(i + 1) % n];
      return turn(a, b, c) > 0 && !rest.some((p) => p !== a && p !== b && p !== c
        && turn(a, b, p) > 0 && turn(b, c, p) > 0 && turn(c, a, p) > 0);
    });
    if (ear < 0) break;
    out.push(rest[(ear + n - 1) % n], rest[ear], rest[(ear + 1) % n]);
    rest.splice(ear, 1);
  }
  return out;
}

// Corners and centres that a measurement may catch on.
function catchPoints(scene) {
  const out = [[0, 0], [scene.size[0], 0], [0, scene.size[1]], scene.size.slice()];
  for (const piece of scene.pieces) {
    for (const contour of [piece.outline, ...piece.inner]) {
      for (const [x, y, cx, cy] of contour) {
        out.push([x, y]);
        if (cx !== undefined) out.push([cx, cy]);
      }
    }
  }
  return out;
}
