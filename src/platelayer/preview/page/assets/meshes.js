// Solids as triangles of seven floats a corner: place, normal, kind (see the mesh shader).
function bitSolid(bit) {
  const radius = bit.diameter / 2, data = [], profile = [[0, 0, 0]];
  if (bit.kind === "flat") profile.push([radius, 0, 0]);
  else for (let k = 1; k <= 12; k++) profile.push([radius * k / 12, riseOf(bit, radius * k / 12), 0]);
  const cut = Math.max(bit.length, profile[profile.length - 1][1] + 1), shank = bit.shank / 2;
  profile.push([radius, cut, 0], [shank, cut + Math.abs(shank - radius), 1], [shank, cut + 26, 1], [0, cut + 26, 1]);
  const around = 28;
  for (let k = 0; k + 1 < profile.length; k++) {
    const [r0, z0] = profile[k], [r1, z1, kind] = profile[k + 1];
    const long = Math.hypot(r1 - r0, z1 - z0) || 1, nr = (z1 - z0) / long, nz = (r0 - r1) / long;
    for (let s = 0; s < around; s++) {
      const corner = (r, z, t) => {
        const angle = 2 * Math.PI * t / around, c = Math.cos(angle), d = Math.sin(angle);
        return [r * c, r * d, z, nr * c, nr * d, nz, kind];
      };
      const a = corner(r0, z0, s), b = corner(r1, z1, s), c = corner(r1, z1, s + 1), d = corner(r0, z0, s + 1);
      data.push(...a, ...b, ...c, ...a, ...c, ...d);
    }
  }
  return new Float32Array(data);
}

function noGoSolid(areas) {
  const data = [];
  for (const area of areas) {
    const ring = flatten(area.outline, 0.2).slice(0, -1), high = area.height;
    let twice = 0;
    ring.forEach(([x, y], i) => { const [u, v] = ring[(i + 1) % ring.length]; twice += x * v - u * y; });
    if (twice < 0) ring.reverse();
    for (const [x, y] of triangles(ring)) data.push(x, y, high, 0, 0, 1, 2);
    ring.forEach(([x, y], i) => {
      const [u, v] = ring[(i + 1) % ring.length], long = Math.hypot(u - x, v - y) || 1;
      const n = [(v - y) / long, (x - u) / long, 0];
      for (const [px, py, pz] of [[x, y, 0], [u, v, 0], [u, v, high], [x, y, 0], [u, v, high], [x, y, high]]) {
        data.push(px, py, pz, ...n, 2);
      }
    });
  }
  return new Float32Array(data);
}

function shadowSolid(size, floor) {
  const m = 90, [w, h] = size, z = -floor - 0.3, data = [];
  for (const [x, y] of [[-m, -m], [w + m, -m], [w + m, h + m], [-m, -m], [w + m, h + m], [-m, h + m]]) data.push(x, y, z, 0, 0, 1, 4);
  return new Float32Array(data);
}

// A tab as the block of wood it is: across the kerf outside the outline, from the underside up.
function tabSolid(pieces, kerf, thickness) {
  const data = [];
  for (const piece of pieces) {
    for (const [x, y, heading, width, height] of piece.tabs) {
      const c = Math.cos(heading), s = Math.sin(heading), turn = (u, v) => [c * u - s * v, s * u + c * v];
      const place = (u, v, z) => { const [dx, dy] = turn(u, v); return [x + dx, y + dy, z]; };
      const half = width / 2, low = -thickness, high = height - thickness + 0.05, out = -kerf - 0.05;
      const side = (normal, ...corners) => {
        for (const k of [0, 1, 2, 0, 2, 3]) data.push(...corners[k], ...normal, 3);
      };
      side([0, 0, 1], place(-half, 0, high), place(-half, out, high), place(half, out, high), place(half, 0, high));
      for (const u of [-half, half]) {
        side([...turn(Math.sign(u), 0), 0], place(u, 0, low), place(u, out, low), place(u, out, high), place(u, 0, high));
      }
    }
  }
  return new Float32Array(data);
}
