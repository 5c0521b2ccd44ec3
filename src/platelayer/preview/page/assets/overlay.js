// Words and signs over the board: problems as numbered triangles, order of cutting as rings, both plain elements.
// px: signs nearer than this cover each other; how a pin stands over the board; the least and the greatest ring.
const GAP = 3, PIN_WIDE = 30, PIN_HIGH = 30, RING_LEAST = 13, RING_NAMED = 18, RING_MOST = 24;
class Overlay {
  constructor(open) {
    this.box = document.getElementById("pins");
    this.leaders = document.getElementById("leaders");
    this.open = open;
    this.items = [];
  }

  fill(bench) {
    this.items = [];
    const made = [], named = new Set(bench.problems.map((problem) => problem.at));
    for (const piece of bench.scene.pieces) {
      const ring = document.createElement("span");
      ring.className = "ring";
      ring.textContent = named.has(piece.id) ? `${piece.order} ${piece.id}` : String(piece.order);
      ring.classList.toggle("named", named.has(piece.id));
      ring.title = piece.id;
      made.push(ring);
      this.items.push({ element: ring, at: [...piece.at, 0.5], kind: "names", broad: broadOf(piece.outline), isNamed: named.has(piece.id) });
    }
    for (const problem of bench.problems) {
      if (!problem.point || !bench.isHere(problem)) continue;
      const pin = document.createElement("button");
      pin.type = "button";
      pin.className = `pin ${problem.severity}`;
      pin.textContent = String(problem.number);
      pin.title = inUnit(problem.text);
      pin.setAttribute("aria-label", `Problem ${problem.number}, ${problem.severity}`);
      pin.addEventListener("click", () => this.open(problem));
      made.push(pin);
      this.items.push({ element: pin, at: problem.point, kind: "problems", problem });
    }
    this.box.replaceChildren(...made);
  }

  // Problems over the board, where they hide no piece, each with a line to its place; then numbers, each as large as its
  // piece allows and only where it covers no sign that is there already.
  place(camera, matrix, width, height, show) {
    const seen = (at) => { const p = camera.project(at, matrix); return p && p[0] > -0.05 && p[0] < 1.05 && p[1] > -0.05 && p[1] < 1.05 ? [p[0] * width, p[1] * height] : null; };
    const taken = [], lines = [], over = this._overBoard(camera, matrix, height);
    const pins = this.items.filter((item) => item.kind === "problems").map((item) => ({ ...item, spot: show.problems ? seen(item.at) : null }));
    for (const { element, spot } of pins.sort((a, b) => (a.spot ? a.spot[0] : 0) - (b.spot ? b.spot[0] : 0))) {
      element.hidden = !spot;
      if (!spot) continue;
      const box = { x: Math.min(Math.max(spot[0], PIN_WIDE / 2), width - PIN_WIDE / 2), y: Math.max(Math.min(over, spot[1] - PIN_HIGH / 2), PIN_HIGH / 2), w: PIN_WIDE, h: PIN_HIGH };
      while (taken.some((other) => covers(box, other))) box.x += GAP;
      if (box.x > width - PIN_WIDE / 2) { box.x = Math.min(spot[0], width - PIN_WIDE / 2); while (taken.some((other) => covers(box, other))) box.x -= GAP; }
      taken.push(box);
      lines.push(`M${box.x.toFixed(1)} ${(box.y + PIN_HIGH / 2).toFixed(1)}L${spot.map((part) => part.toFixed(1)).join(" ")}`);
      element.style.transform = `translate(${box.x.toFixed(1)}px, ${(box.y + PIN_HIGH / 2).toFixed(1)}px)`;
    }
    for (const path of this.leaders.children) path.setAttribute("d", lines.join(""));
    const numbers = this.items.filter((item) => item.kind === "names").sort((a, b) => b.isNamed - a.isNamed);
    for (const { element, at, broad, isNamed } of numbers) {
      const spot = show.names ? seen(at) : null;
      element.hidden = !spot;
      if (!spot) continue;
      const size = Math.min(Math.max(isNamed ? RING_NAMED : RING_LEAST, 0.6 * broad * camera.pixelsAt(at, height) * Math.sin(camera.pitch)), RING_MOST);
      const box = { x: spot[0], y: spot[1], w: isNamed ? size * 0.34 * element.textContent.length + size : size, h: size };
      element.hidden = taken.some((other) => covers(box, other));
      if (element.hidden) continue;
      taken.push(box);
      Object.assign(element.style, { transform: `translate(${spot[0].toFixed(1)}px, ${spot[1].toFixed(1)}px) translate(-50%, -50%)`, height: `${size.toFixed(1)}px`, minWidth: `${size.toFixed(1)}px`, fontSize: `${(size * 0.58).toFixed(1)}px` });
    }
  }

  // Middle of the row in which pins stand: clear above the board as it is seen.
  _overBoard(camera, matrix, height) {
    const [w, h] = camera.scene.size;
    const tops = [[0, 0], [w, 0], [0, h], [w, h]].map(([x, y]) => camera.project([x, y, 0], matrix)).filter(Boolean).map((p) => p[1] * height);
    return Math.min(...tops) - PIN_HIGH / 2 - GAP;
  }
}

function covers(a, b) { return Math.abs(a.x - b.x) < (a.w + b.w) / 2 + GAP && Math.abs(a.y - b.y) < (a.h + b.h) / 2 + GAP; }

// How broad a piece is on the whole, in mm: twice its area over the way round it.
function broadOf(outline) {
  const ring = flatten(outline, 0.5);
  let twice = 0, round = 0;
  for (let k = 0; k + 1 < ring.length; k++) {
    const [x, y] = ring[k], [u, v] = ring[k + 1];
    twice += x * v - u * y;
    round += Math.hypot(u - x, v - y);
  }
  return round ? Math.abs(twice) / round : 0;
}
