// The tape: two points on the wood, caught by near corners and centres of the design, and what lies between them.
const CATCH_PIXELS = 11;

class Tape {
  constructor() {
    this.svg = document.getElementById("tape");
    this.isOn = false;
    this.points = [];
    this.hover = null;
  }

  // The point meant: a corner or centre near the pointer, else the wood itself.
  catchAt(bench, u, v, width, height) {
    const wood = bench.pick(u, v);
    let best = null, near = CATCH_PIXELS;
    for (const [x, y] of bench.catches) {
      const seen = bench.camera.project([x, y, 0], bench.matrix);
      if (!seen) continue;
      const far = Math.hypot((seen[0] - u) * width, (seen[1] - v) * height);
      if (far < near) { near = far; best = [x, y, 0]; }
    }
    return best || wood;
  }

  add(point) {
    if (!point) return;
    if (this.points.length === 2) this.points = [];
    this.points.push(point);
  }

  words() {
    const [a, b] = this.points;
    if (!b) return a ? "Click the second point." : "Click two points; corners and centres catch.";
    const d = [0, 1, 2].map((k) => b[k] - a[k]);
    const parts = [`${showLength(Math.hypot(d[0], d[1]))} in the plane`, `x ${showLength(d[0])}`, `y ${showLength(d[1])}`];
    if (Math.abs(d[2]) > 0.005) parts.push(`depth ${showLength(-d[2])}`, `straight ${showLength(Math.hypot(...d))}`);
    return parts.join(", ");
  }

  draw(camera, matrix, width, height) {
    const points = this.points.length === 1 && this.hover ? [...this.points, this.hover] : this.points;
    const seen = points.map((p) => camera.project(p, matrix)).filter(Boolean).map(([u, v]) => [u * width, v * height]);
    const spots = (this.isOn && this.hover ? [camera.project(this.hover, matrix)] : []).filter(Boolean).map(([u, v]) => [u * width, v * height]);
    const parts = [];
    if (seen.length === 2) {
      const d = seen.map((p) => p.map((c) => c.toFixed(1)).join(" ")).join("L");
      parts.push(`<path d="M${d}" class="under"/><path d="M${d}" class="over"/>`);
      const [x, y] = [(seen[0][0] + seen[1][0]) / 2, (seen[0][1] + seen[1][1]) / 2];
      const length = Math.hypot(points[1][0] - points[0][0], points[1][1] - points[0][1]);
      parts.push(`<text x="${x.toFixed(1)}" y="${(y - 8).toFixed(1)}">${showLength(length)}</text>`);
    }
    for (const [x, y] of seen.slice(0, this.points.length)) parts.push(`<circle cx="${x.toFixed(1)}" cy="${y.toFixed(1)}" r="4"/>`);
    for (const [x, y] of spots) parts.push(`<circle cx="${x.toFixed(1)}" cy="${y.toFixed(1)}" r="7" class="hover"/>`);
    this.svg.innerHTML = parts.join("");
  }
}
