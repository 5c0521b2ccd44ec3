// Words and signs over the board: problems as numbered triangles, order of cutting as rings, both plain elements.
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

  place(camera, matrix, width, height, show) {
    for (const { element, at, kind } of this.items) {
      const seen = show[kind] ? camera.project(at, matrix) : null;
      const isIn = seen && seen[0] > -0.05 && seen[0] < 1.05 && seen[1] > -0.05 && seen[1] < 1.05;
      element.hidden = !isIn;
      if (isIn) element.style.transform = `translate(${(seen[0] * width).toFixed(1)}px, ${(seen[1] * height).toFixed(1)}px)`;
    }
  }
}
