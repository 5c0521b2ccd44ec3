// The wood as a grid of depths at any moment, laid down move by move as the bit goes; see half.js for the codes.
// Moments kept on the way (frames) make every other moment a short walk from one of them.
const ARC_GAP = 1 / 8, SLOPE_STEP = 1 / 3, FRAME_BYTES = 96e6, FRAMES_MOST = 24;

class Field {
  // Of the whole board, or of a window of it: least x, least y, greatest x, greatest y.
  constructor(scene, moves, cells, widest, window = [0, 0, ...scene.size]) {
    this.window = window;
    [this.x, this.y] = window;
    const width = window[2] - window[0], height = window[3] - window[1];
    this.reach = Math.max(...scene.bits.map((bit) => bit.diameter / 2), 0);
    this.cell = Math.max(Math.sqrt(width * height / cells), Math.max(width, height) / (widest - 1));
    this.columns = Math.max(2, Math.ceil(width / this.cell));
    this.rows = Math.max(2, Math.ceil(height / this.cell));
    this.codes = new Uint16Array(this.columns * this.rows);
    this.moves = moves;
    this.rings = scene.bits.map((bit) => ringsOf(bit, this.cell));
    this.done = 0;
    this.part = 0;
    this.dirty = [0, this.rows];
    this.frames = [];
    this.work = this._work();
  }

  // Cells each move touches, summed: tells how far apart frames stand and which one is nearest.
  _work() {
    const m = this.moves, out = new Float64Array(m.count + 1);
    for (let i = 0; i < m.count; i++) {
      const rings = this.rings[m.bit[i]] || [[1, 0]];
      const radius = rings[rings.length - 1][0];
      let length = Math.hypot(m.x1[i] - m.x0[i], m.y1[i] - m.y0[i]) / this.cell;
      if (m.kind[i] > 1) length = Math.abs(sweepOf(m, i)) * Math.hypot(m.x0[i] - m.cx[i], m.y0[i] - m.cy[i]) / this.cell;
      const isWet = Math.min(m.z0[i], m.z1[i]) < 0;
      out[i + 1] = out[i] + (isWet ? (length + 2 * radius) * 2 * radius * rings.length + 60 : 1);
    }
    return out;
  }

  // Walks to the end once, keeping frames; gives way to the browser between slices.
  async prepare(pause, isStale) {
    const most = Math.max(1, Math.min(FRAMES_MOST, Math.floor(FRAME_BYTES / this.codes.byteLength)));
    const apart = this.work[this.moves.count] / (most + 1);
    this.restart();
    let next = apart;
    while (this.done < this.moves.count) {
      const from = performance.now();
      while (this.done < this.moves.count && performance.now() - from < 24) {
        const until = Math.min(this.done + 200, this.moves.count);
        for (; this.done < until; this.done++) this.lay(this.done, 1);
        if (this.work[this.done] >= next && this.done < this.moves.count) {
          this.frames.push({ done: this.done, codes: this.codes.slice() });
          next = this.work[this.done] + apart;
        }
      }
      await pause(this.done / this.moves.count);
      if (isStale()) return;
    }
  }

  restart() {
    this.codes.fill(0);
    this.done = 0;
    this.part = 0;
    this.dirty = [0, this.rows];
  }

  // Brings the wood to the moment when `count` moves are done and a share of the next one.
  seek(count, share) {
    const isBack = count < this.done || (count === this.done && share < this.part);
    let best = null;
    for (const frame of this.frames) if (frame.done <= count) best = frame;
    const saved = best ? this.work[best.done] - (isBack ? 0 : this.work[this.done]) : 0;
    if (best && (isBack || saved > this.codes.length / 8)) {
      this.codes.set(best.codes);
      this.done = best.done;
      this.part = 0;
      this.dirty = [0, this.rows];
    } else if (isBack) {
      this.restart();
    }
    for (; this.done < count; this.done++) { this.lay(this.done, 1); this.part = 0; }
    if (share > this.part && this.done < this.moves.count) {
      this.lay(this.done, share);
      this.part = share;
    }
  }

  lay(i, share) {
    const m = this.moves;
    if ((m.z0[i] >= 0 && m.z1[i] >= 0) || this._isPast(i)) return;
    const flat = Math.hypot(m.x1[i] - m.x0[i], m.y1[i] - m.y0[i]);
    const drop = m.z1[i] - m.z0[i];
    let steps = 1, a = 0, sweep = 0, radius = 0, length = flat;
    if (m.kind[i] > 1) {
      sweep = sweepOf(m, i);
      radius = Math.hypot(m.x0[i] - m.cx[i], m.y0[i] - m.cy[i]);
      a = Math.atan2(m.y0[i] - m.cy[i], m.x0[i] - m.cx[i]);
      length = Math.abs(sweep) * radius;
      steps = Math.ceil(Math.abs(sweep) / (2 * Math.acos(Math.max(1 - ARC_GAP * this.cell / radius, 0.5))));
    }
    if (Math.abs(drop) > 0.001 && length > 0) {
      steps = Math.max(steps, Math.min(Math.ceil(length / this.cell), Math.ceil(Math.abs(drop) / (SLOPE_STEP * this.cell))));
    }
    steps = Math.max(1, Math.ceil(steps * share));
    let x = m.x0[i], y = m.y0[i];
    for (let s = 1; s <= steps; s++) {
      const t = share * s / steps;
      let nx = m.x0[i] + (m.x1[i] - m.x0[i]) * t, ny = m.y0[i] + (m.y1[i] - m.y0[i]) * t;
      if (m.kind[i] > 1) {
        nx = m.cx[i] + radius * Math.cos(a + sweep * t);
        ny = m.cy[i] + radius * Math.sin(a + sweep * t);
      }
      const z = length > 0 ? m.z0[i] + drop * share * (s - 0.5) / steps : Math.min(m.z0[i], m.z0[i] + drop * share);
      for (const [ring, rise] of this.rings[m.bit[i]]) {
        if (z + rise < 0) this.capsule(x, y, nx, ny, ring, toHalf(-z - rise));
      }
      x = nx;
      y = ny;
    }
  }

  // The move stays off the window; an arc no farther than its radius from its centre.
  _isPast(i) {
    const m = this.moves, [left, low, right, high] = this.window, isArc = m.kind[i] > 1;
    const r = this.reach + (isArc ? Math.hypot(m.x0[i] - m.cx[i], m.y0[i] - m.cy[i]) : 0);
    const xs = isArc ? [m.cx[i]] : [m.x0[i], m.x1[i]], ys = isArc ? [m.cy[i]] : [m.y0[i], m.y1[i]];
    return Math.max(...xs) + r < left || Math.min(...xs) - r > right || Math.max(...ys) + r < low || Math.min(...ys) - r > high;
  }

  // One band with round ends: the cells of every row it covers take at least this depth. Radius is in cells.
  capsule(ax, ay, bx, by, r, code) {
    const x0 = (ax - this.x) / this.cell - 0.5, y0 = (ay - this.y) / this.cell - 0.5;
    const x1 = (bx - this.x) / this.cell - 0.5, y1 = (by - this.y) / this.cell - 0.5;
    const dx = x1 - x0, dy = y1 - y0, length = Math.hypot(dx, dy), columns = this.columns, codes = this.codes;
    const ox = length > 0 ? dy * r / length : 0, oy = length > 0 ? -dx * r / length : 0, slope = dy !== 0 ? dx / dy : 0;
    const low = Math.max(Math.ceil(Math.min(y0, y1) - r), 0), high = Math.min(Math.floor(Math.max(y0, y1) + r), this.rows - 1);
    if (low > high) return;
    if (low < this.dirty[0]) this.dirty[0] = low;
    if (high + 1 > this.dirty[1]) this.dirty[1] = high + 1;
    for (let row = low; row <= high; row++) {
      const u0 = row - y0, u1 = row - y1, h0 = r * r - u0 * u0, h1 = r * r - u1 * u1;
      let left = Infinity, right = -Infinity;
      if (h0 >= 0) { const w = Math.sqrt(h0); left = x0 - w; right = x0 + w; }
      if (h1 >= 0) { const w = Math.sqrt(h1); left = Math.min(left, x1 - w); right = Math.max(right, x1 + w); }
      if (dy !== 0) {
        if ((u0 - oy) * (u1 - oy) <= 0) { const x = x0 + ox + (u0 - oy) * slope; left = Math.min(left, x); right = Math.max(right, x); }
        if ((u0 + oy) * (u1 + oy) <= 0) { const x = x0 - ox + (u0 + oy) * slope; left = Math.min(left, x); right = Math.max(right, x); }
      }
      const first = Math.max(Math.ceil(left), 0), last = Math.min(Math.floor(right), columns - 1), base = row * columns;
      for (let k = base + first; k <= base + last; k++) if (codes[k] < code) codes[k] = code;
    }
  }

  // The window as the whole cells cover it.
  covered() { return [this.x, this.y, this.x + this.columns * this.cell, this.y + this.rows * this.cell]; }

  // Depth at a place, between the four cells round it.
  depthAt(x, y) {
    const u = Math.min(Math.max((x - this.x) / this.cell - 0.5, 0), this.columns - 1.001);
    const v = Math.min(Math.max((y - this.y) / this.cell - 0.5, 0), this.rows - 1.001);
    const j = Math.floor(u), i = Math.floor(v), fu = u - j, fv = v - i, k = i * this.columns + j;
    const near = fromHalf(this.codes[k]) * (1 - fu) + fromHalf(this.codes[k + 1]) * fu;
    const far = fromHalf(this.codes[k + this.columns]) * (1 - fu) + fromHalf(this.codes[k + this.columns + 1]) * fu;
    return near * (1 - fv) + far * fv;
  }
}

// Height of a bit's cutting surface above its tip, so far from its axis.
function riseOf(bit, distance) {
  const radius = bit.diameter / 2;
  if (bit.kind === "ball") return radius - Math.sqrt(Math.max(radius * radius - distance * distance, 0));
  if (bit.kind === "vee") return distance / Math.tan(bit.included / 2);
  if (bit.kind === "round_over") {
    const inward = Math.min(radius - distance, bit.corner);
    return Math.sqrt(Math.max(bit.corner * bit.corner - inward * inward, 0));
  }
  return 0;
}

// Discs a bit is built of: [radius in cells, rise in mm]; a flat bit is one disc.
function ringsOf(bit, cell) {
  const radius = bit.diameter / 2;
  if (bit.kind === "flat") return [[radius / cell, 0]];
  const inner = bit.kind === "round_over" ? Math.max(radius - bit.corner, 0) : 0;
  const count = Math.min(Math.max(Math.ceil((radius - inner) / cell), 4), 24);
  const out = inner > 0 ? [[inner / cell, 0]] : [];
  for (let k = 0; k < count; k++) {
    const edge = (part) => inner + (radius - inner) * part / count;
    out.push([edge(k + 1) / cell, riseOf(bit, edge(k + 0.5))]);
  }
  return out;
}

// What made the surface at a place: of the moves so far the first to come as deep there as any, and how deep that is.
function cutAt(scene, moves, x, y, count) {
  let best = -1, deepest = -0.001;
  for (let i = 0; i < count; i++) {
    if (moves.z0[i] >= 0 && moves.z1[i] >= 0) continue;
    const bit = scene.bits[moves.bit[i]], radius = bit.diameter / 2;
    let t, far;
    if (moves.kind[i] < 2) {
      const dx = moves.x1[i] - moves.x0[i], dy = moves.y1[i] - moves.y0[i], long = dx * dx + dy * dy;
      t = long > 0 ? Math.min(Math.max(((x - moves.x0[i]) * dx + (y - moves.y0[i]) * dy) / long, 0), 1) : 1;
      far = Math.hypot(x - moves.x0[i] - dx * t, y - moves.y0[i] - dy * t);
    } else {
      const px = x - moves.cx[i], py = y - moves.cy[i], reach = Math.hypot(moves.x0[i] - moves.cx[i], moves.y0[i] - moves.cy[i]);
      if (Math.abs(Math.hypot(px, py) - reach) > radius) continue;
      const sweep = sweepOf(moves, i), turn = 2 * Math.PI;
      const from = Math.atan2(moves.y0[i] - moves.cy[i], moves.x0[i] - moves.cx[i]);
      const went = ((((sweep > 0 ? 1 : -1) * (Math.atan2(py, px) - from)) % turn) + turn) % turn;
      t = Math.min(went / Math.abs(sweep), 1);
      const tip = tipAt(moves, i, t), start = Math.hypot(x - moves.x0[i], y - moves.y0[i]);
      far = Math.hypot(x - tip[0], y - tip[1]);
      if (start < far) { far = start; t = 0; }
    }
    if (far > radius) continue;
    const z = moves.z0[i] + (moves.z1[i] - moves.z0[i]) * t + riseOf(bit, far);
    if (z < deepest - 0.002) { deepest = z; best = i; }
  }
  return { move: best, z: best < 0 ? 0 : Math.min(deepest, 0) };
}
