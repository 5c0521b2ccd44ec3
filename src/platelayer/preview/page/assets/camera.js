// The eye: where it looks, from which side, how far off. Angles in radians, z up; matrices by columns.
const VIEW_ANGLE = 0.5, QUARTER = Math.PI / 2;
// Ways to look, yaw and pitch; of several the one in which the board fills the view most, turned on a tall screen.
const VIEWS = {
  plan: [[0, QUARTER], [-QUARTER, QUARTER]], edge: [[0, 0.3]],
  corner: [-0.2, -0.45, 0.45 - QUARTER, 0.2 - QUARTER].flatMap((yaw) => [[yaw, 0.85], [yaw, 1.05]]),
};

class Camera {
  constructor(scene) {
    this.scene = scene;
    this.aspect = 1;
    this.view("corner");
  }

  view(name, tip) {
    const [w, h] = this.scene.size;
    this.held = name;
    if (name === "bit" && tip) {
      this.follow(tip);
      return Object.assign(this, { yaw: -0.5, pitch: 0.62, distance: 130 });
    }
    let best = null;
    for (const [yaw, pitch] of VIEWS[name]) {
      Object.assign(this, { yaw, pitch, distance: 1, target: [w / 2, h / 2, -this.scene.thickness / 2] });
      this._fit();
      const filled = this._filled();
      if (!best || filled > best.filled) best = { filled, copy: this.copyOf() };
    }
    return Object.assign(this, best.copy);
  }

  // Looks at the bit's tip, or at the wood under it.
  follow(tip) { this.target = [tip[0], tip[1], Math.min(tip[2], 0)]; }

  // Share of the canvas that the board's upper face takes.
  _filled() {
    const [w, h] = this.scene.size, matrix = this.matrix();
    const seen = [[0, 0], [w, 0], [w, h], [0, h]].map(([x, y]) => this.project([x, y, 0], matrix));
    return Math.abs(seen.reduce((sum, [x, y], k) => { const [u, v] = seen[(k + 1) % 4]; return sum + x * v - u * y; }, 0)) / 2;
  }

  // Steps back until all of the board is in sight, and looks at the middle of what is seen.
  _fit() {
    const [w, h] = this.scene.size, slope = Math.tan(VIEW_ANGLE / 2) * 0.95;
    const corners = [0, w].flatMap((x) => [0, h].flatMap((y) => [0, -this.scene.floor].map((z) => [x, y, z])));
    for (let round = 0; round < 6; round++) {
      const { back, right, up } = this.axes();
      const parts = corners.map((c) => [right, up, back].map((axis) => axis.reduce((sum, part, k) => sum + part * (c[k] - this.target[k]), 0)));
      this.distance = Math.max(...parts.map(([x, y, b]) => b + Math.max(Math.abs(x) / (slope * this.aspect), Math.abs(y) / (slope * 0.9))));
      for (const [axis, k] of [[right, 0], [up, 1]]) {
        const seen = parts.map((p) => p[k] / (this.distance - p[2])), middle = (Math.max(...seen) + Math.min(...seen)) / 2 * this.distance;
        axis.forEach((part, at) => { this.target[at] += part * middle; });
      }
    }
  }

  copyOf() { return { target: this.target.slice(), yaw: this.yaw, pitch: this.pitch, distance: this.distance, held: this.held }; }

  axes() {
    const cp = Math.cos(this.pitch), sp = Math.sin(this.pitch), cy = Math.cos(this.yaw), sy = Math.sin(this.yaw);
    const back = [cp * sy, -cp * cy, sp], right = [cy, sy, 0];
    const up = [back[1] * right[2] - back[2] * right[1], back[2] * right[0] - back[0] * right[2], back[0] * right[1] - back[1] * right[0]];
    const eye = this.target.map((t, k) => t + back[k] * this.distance);
    return { back, right, up, eye };
  }

  matrix() {
    const { back, right, up, eye } = this.axes();
    const dot = (a) => a[0] * eye[0] + a[1] * eye[1] + a[2] * eye[2];
    const f = 1 / Math.tan(VIEW_ANGLE / 2), near = Math.max(this.distance * 0.02, 1), far = this.distance * 4 + 4000;
    const a = (far + near) / (near - far), b = 2 * far * near / (near - far), g = f / this.aspect;
    const rows = [
      [right[0] * g, right[1] * g, right[2] * g, -dot(right) * g],
      [up[0] * f, up[1] * f, up[2] * f, -dot(up) * f],
      [back[0] * a, back[1] * a, back[2] * a, -dot(back) * a + b],
      [-back[0], -back[1], -back[2], dot(back)],
    ];
    const out = new Float32Array(16);
    rows.forEach((row, r) => row.forEach((value, c) => { out[c * 4 + r] = value; }));
    return out;
  }

  // Ray through a point of the canvas, (0..1, 0..1) from its upper left corner.
  ray(u, v) {
    const { back, right, up, eye } = this.axes(), half = Math.tan(VIEW_ANGLE / 2);
    const sx = (2 * u - 1) * half * this.aspect, sy = (1 - 2 * v) * half;
    const d = [0, 1, 2].map((k) => right[k] * sx + up[k] * sy - back[k]);
    const long = Math.hypot(...d);
    return { eye, direction: d.map((part) => part / long) };
  }

  // Place of a point on the canvas as (0..1, 0..1), or null behind the eye.
  project(p, matrix) {
    const at = (r) => matrix[r] * p[0] + matrix[4 + r] * p[1] + matrix[8 + r] * p[2] + matrix[12 + r];
    const w = at(3);
    return w > 0 ? [0.5 + at(0) / w / 2, 0.5 - at(1) / w / 2, at(2) / w] : null;
  }

  // Left to itself a view stays what it was called: it is fitted again, or goes on following the bit.
  _letGo(isMoved) { if (isMoved || this.held !== "bit") this.held = ""; }

  turn(dx, dy) {
    this._letGo(false);
    this.yaw -= dx;
    this.pitch = Math.min(Math.max(this.pitch + dy, 0.06), Math.PI / 2);
  }

  move(dx, dy) {
    this._letGo(true);
    const scale = 2 * this.distance * Math.tan(VIEW_ANGLE / 2);
    const c = Math.cos(this.yaw), s = Math.sin(this.yaw), slant = 1 / Math.max(Math.sin(this.pitch), 0.25);
    const x = -dx * scale, y = dy * scale * slant;
    this.target[0] += c * x - s * y;
    this.target[1] += s * x + c * y;
    this._hold();
  }

  // Nearer by a factor, keeping the point under the pointer where it is.
  zoom(factor, u = 0.5, v = 0.5) {
    this._letGo(false);
    if (this.held === "bit") { u = 0.5; v = 0.5; }
    const before = this.groundAt(u, v);
    this.distance = Math.min(Math.max(this.distance * factor, 12), 6 * Math.max(...this.scene.size) + 400);
    const after = this.groundAt(u, v);
    if (before && after) {
      this.target[0] += before[0] - after[0];
      this.target[1] += before[1] - after[1];
      this._hold();
    }
  }

  // Pixels to a millimetre at a place, on a canvas so many pixels high.
  pixelsAt(p, height) {
    const { back, eye } = this.axes(), far = back.reduce((sum, part, k) => sum + part * (eye[k] - p[k]), 0);
    return height / (2 * Math.tan(VIEW_ANGLE / 2) * Math.max(far, 1));
  }

  groundAt(u, v) {
    const { eye, direction } = this.ray(u, v);
    if (direction[2] > -0.02) return null;
    const t = (this.target[2] - eye[2]) / direction[2];
    return [eye[0] + direction[0] * t, eye[1] + direction[1] * t];
  }

  _hold() {
    for (const k of [0, 1]) this.target[k] = Math.min(Math.max(this.target[k], -200), this.scene.size[k] + 200);
  }
}
