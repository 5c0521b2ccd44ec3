// The eye: where it looks, from which side, how far off. Angles in radians, z up; matrices by columns.
const VIEW_ANGLE = 0.5;

class Camera {
  constructor(scene) {
    this.scene = scene;
    this.aspect = 1;
    this.view("corner");
  }

  view(name, tip) {
    const [w, h] = this.scene.size;
    if (name === "bit" && tip) {
      this.target = [tip[0], tip[1], Math.min(tip[2], 0)];
      return Object.assign(this, { yaw: -0.5, pitch: 0.62, distance: 130 });
    }
    const [yaw, pitch] = { plan: [0, Math.PI / 2], edge: [0, 0.3] }[name] || [w > 2.5 * h ? -0.22 : -0.45, 0.85];
    Object.assign(this, { yaw, pitch, distance: 1, target: [w / 2, h / 2, -this.scene.thickness / 2] });
    this._fit();
    return this;
  }

  // Steps back until all of the board is in sight, and looks at the middle of what is seen.
  _fit() {
    const [w, h] = this.scene.size, slope = Math.tan(VIEW_ANGLE / 2) * 0.93;
    const corners = [0, w].flatMap((x) => [0, h].flatMap((y) => [0, -this.scene.floor].map((z) => [x, y, z])));
    for (let round = 0; round < 6; round++) {
      const { back, right, up } = this.axes();
      const parts = corners.map((c) => [right, up, back].map((axis) => axis.reduce((sum, part, k) => sum + part * (c[k] - this.target[k]), 0)));
      this.distance = Math.max(...parts.map(([x, y, b]) => b + Math.max(Math.abs(x) / (slope * this.aspect), Math.abs(y) / slope)));
      for (const [axis, k] of [[right, 0], [up, 1]]) {
        const seen = parts.map((p) => p[k] / (this.distance - p[2])), middle = (Math.max(...seen) + Math.min(...seen)) / 2 * this.distance;
        axis.forEach((part, at) => { this.target[at] += part * middle; });
      }
    }
  }

  copyOf() { return { target: this.target.slice(), yaw: this.yaw, pitch: this.pitch, distance: this.distance }; }

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

  turn(dx, dy) {
    this.yaw -= dx;
    this.pitch = Math.min(Math.max(this.pitch + dy, 0.06), Math.PI / 2);
  }

  move(dx, dy) {
    const scale = 2 * this.distance * Math.tan(VIEW_ANGLE / 2);
    const c = Math.cos(this.yaw), s = Math.sin(this.yaw), slant = 1 / Math.max(Math.sin(this.pitch), 0.25);
    const x = -dx * scale, y = dy * scale * slant;
    this.target[0] += c * x - s * y;
    this.target[1] += s * x + c * y;
    this._hold();
  }

  // Nearer by a factor, keeping the point under the pointer where it is.
  zoom(factor, u = 0.5, v = 0.5) {
    const before = this.groundAt(u, v);
    this.distance = Math.min(Math.max(this.distance * factor, 12), 6 * Math.max(...this.scene.size) + 400);
    const after = this.groundAt(u, v);
    if (before && after) {
      this.target[0] += before[0] - after[0];
      this.target[1] += before[1] - after[1];
      this._hold();
    }
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
