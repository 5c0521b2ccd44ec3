// Words and signs over the board: problems as numbered triangles, order of cutting as rings, both plain elements.
const APART = 26, PIN_MIDDLE = 22; // px: signs nearer than this cover each other; a pin stands on its point
class Overlay {
  constructor(open) {
    this.box = document.getElementById("pins");
    this.open = open;
    this.items = [];
  }

  fill(bench) {
    this.items = [];
    const made = [];
    for (const piece of bench.scene.pieces) {
      const ring = document.createElement("span");
      ring.className = "ring";
      ring.textContent = String(piece.order);
      ring.title = piece.id;
      made.push(ring);
      this.items.push({ element: ring, at: [...piece.at, 0.5], kind: "names" });
    }
    for (const problem of bench.problems) {
      if (!problem.point || !bench.isHere(problem)) continue;
      const pin = document.createElement("button");
      pin.type = "button";
      pin.className = `pin ${problem.severity}`;
      pin.textContent = String(problem.number);
      pin.title = problem.text;
      pin.setAttribute("aria-label", `Problem ${problem.number}, ${problem.severity}`);
      pin.addEventListener("click", () => this.open(problem));
      made.push(pin);
      this.items.push({ element: pin, at: problem.point, kind: "problems", problem });
    }
    this.box.replaceChildren(...made);
  }

  // Problems first, all of them; then numbers, each only where it covers no sign that is there already.
  place(camera, matrix, width, height, show) {
    const taken = [];
    for (const { element, at, kind } of [...this.items].sort((a, b) => (a.kind === "names") - (b.kind === "names"))) {
      const seen = show[kind] ? camera.project(at, matrix) : null, isName = kind === "names";
      const isIn = seen && seen[0] > -0.05 && seen[0] < 1.05 && seen[1] > -0.05 && seen[1] < 1.05;
      const x = isIn ? seen[0] * width : 0, y = isIn ? seen[1] * height : 0, middle = isName ? y : y - PIN_MIDDLE;
      const isFree = !isName || !taken.some((other) => Math.hypot(x - other[0], middle - other[1]) < APART);
      element.hidden = !(isIn && isFree);
      if (element.hidden) continue;
      taken.push([x, middle]);
      element.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px)`;
    }
  }
}
