// Pointers and keys on the bench, and the start of it all.
function holdBoard(bench) {
  const canvas = bench.canvas, held = new Map();
  let travelled = 0, spread = 0;
  const share = (event) => {
    const box = canvas.getBoundingClientRect();
    return [(event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height];
  };
  canvas.addEventListener("contextmenu", (event) => event.preventDefault());
  canvas.addEventListener("pointerdown", (event) => {
    canvas.focus({ preventScroll: true });
    canvas.setPointerCapture(event.pointerId);
    held.set(event.pointerId, [event.clientX, event.clientY]);
    travelled = held.size > 1 ? 99 : 0;
    spread = 0;
    bench.flight = null;
  });
  canvas.addEventListener("pointermove", (event) => {
    const before = held.get(event.pointerId);
    if (!before) {
      if (!bench.tape.isOn) return;
      bench.tape.hover = bench.tape.catchAt(bench, ...share(event), canvas.clientWidth, canvas.clientHeight);
      bench.redraw();
      return;
    }
    const dx = event.clientX - before[0], dy = event.clientY - before[1];
    travelled += Math.abs(dx) + Math.abs(dy);
    held.set(event.pointerId, [event.clientX, event.clientY]);
    if (travelled < 5) return;
    bench.isDragging = true;
    if (held.size > 1) {
      const [a, b] = [...held.values()], now = Math.hypot(a[0] - b[0], a[1] - b[1]);
      if (spread) bench.camera.zoom(spread / now);
      spread = now;
      bench.camera.move(dx / 2 / canvas.clientHeight, dy / 2 / canvas.clientHeight);
    } else if (event.buttons & 6 || event.shiftKey || event.ctrlKey) {
      bench.camera.move(dx / canvas.clientHeight, dy / canvas.clientHeight);
    } else {
      bench.camera.turn(dx * 0.006, dy * 0.006);
    }
    bench.redraw();
  });
  const release = (event) => {
    const wasHeld = held.delete(event.pointerId);
    if (wasHeld && event.type === "pointerup" && travelled < 5 && event.button === 0) bench.click(...share(event));
    if (!held.size) bench.isDragging = false;
    spread = 0;
    bench.redraw();
  };
  canvas.addEventListener("pointerup", release);
  canvas.addEventListener("pointercancel", release);
  canvas.addEventListener("wheel", (event) => {
    event.preventDefault();
    bench.flight = null;
    bench.camera.zoom(Math.exp(event.deltaY * (event.deltaMode ? 0.04 : 0.0014)), ...share(event));
    bench.redraw();
  }, { passive: false });
}

function bindButtons(bench) {
  const on = (id, act, kind = "click") => document.getElementById(id).addEventListener(kind, act);
  on("play", () => bench.clock.toggle());
  on("back", () => bench.step(-1));
  on("on", () => bench.step(1));
  on("time", (event) => { bench.clock.toggle(false); bench.chosen = null; bench.seek(event.target.value / 1e6 * bench.moves.total); }, "input");
  on("unit-mm", () => bench.setUnits(true));
  on("unit-in", () => bench.setUnits(false));
  on("measure", () => bench.setMeasuring(!bench.tape.isOn));
  on("print", () => window.print());
  on("help", () => document.getElementById("keys").showModal());
  on("fine", (event) => bench.setFine(event.target.checked), "change");
  on("shade-depth", (event) => { bench.shadeDepth = event.target.checked; bench.redraw(); }, "change");
  for (const name of Object.keys(bench.show)) on(`show-${name}`, (event) => bench.setShown(name, event.target.checked), "change");
  for (const button of document.querySelectorAll("[data-view]")) button.addEventListener("click", () => bench.view(button.dataset.view));
  const scenes = document.getElementById("scenes");
  scenes.replaceChildren(...bench.head.scenes.map((scene, index) => {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = `Board ${scene.board}${scene.face === "bottom" ? ", underside" : ""}`;
    button.addEventListener("click", () => bench.openScene(index));
    return button;
  }));
  scenes.hidden = bench.head.scenes.length < 2;
}

const SHOW_KEYS = { r: "rapids", c: "cuts", t: "tabs", n: "nogo", p: "problems", o: "outlines", l: "names", b: "bit" };

function keyAction(bench, event) {
  const { key } = event, turn = { ArrowLeft: [1, 0], ArrowRight: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[key];
  if (turn && document.activeElement === bench.canvas) {
    if (event.shiftKey) bench.camera.move(turn[0] * 0.06, turn[1] * 0.06); else bench.camera.turn(-turn[0] * 0.12, turn[1] * 0.12);
    bench.redraw();
    return true;
  }
  if (SHOW_KEYS[key]) { bench.setShown(SHOW_KEYS[key], !bench.show[SHOW_KEYS[key]]); return true; }
  const acts = {
    " ": () => bench.clock.toggle(), ",": () => bench.step(-1), ".": () => bench.step(1), "<": () => bench.step(-100), ">": () => bench.step(100),
    "[": () => bench.clock.shift(-1), "]": () => bench.clock.shift(1), Home: () => bench.seek(0), End: () => bench.seek(bench.moves.total),
    1: () => bench.view("plan"), 2: () => bench.view("corner"), 3: () => bench.view("edge"), 4: () => bench.view("bit"),
    m: () => bench.setMeasuring(!bench.tape.isOn), u: () => bench.setUnits(!units.isMetric), j: () => bench.nextProblem(1), k: () => bench.nextProblem(-1),
    d: () => document.getElementById("shade-depth").click(), "?": () => document.getElementById("keys").showModal(),
    "+": () => { bench.camera.zoom(0.85); bench.redraw(); }, "=": () => { bench.camera.zoom(0.85); bench.redraw(); },
    "-": () => { bench.camera.zoom(1 / 0.85); bench.redraw(); }, Escape: () => bench.setMeasuring(false),
  };
  if (!acts[key]) return false;
  acts[key]();
  return true;
}

function bindKeys(bench) {
  document.addEventListener("keydown", (event) => {
    if (event.altKey || event.metaKey || event.ctrlKey || document.getElementById("keys").open) return;
    const on = event.target.tagName, isTyping = on === "SELECT" || (on === "INPUT" && event.target.type !== "range" && event.target.type !== "checkbox");
    if (isTyping || ((on === "BUTTON" || on === "SUMMARY" || on === "INPUT") && event.key === " ")) return;
    if (on === "INPUT" && event.target.type === "range" && ["Home", "End"].includes(event.key)) return;
    if (keyAction(bench, event)) event.preventDefault();
  });
}

async function openPage() {
  const { head, column } = await openBlock();
  units.inch = head.inch;
  document.body.classList.replace("waiting", "ready");
  const bench = new Bench(head, column);
  window.bench = bench;
  bench.words = { showLength, showFraction, showTime };
  document.getElementById("problem-box").open = bench.problems.length > 0;
  bindButtons(bench);
  bench.setUnits(head.units !== "in");
  await bench.openScene(Math.max(head.scenes.findIndex((scene) => scene.files.length), 0));
  holdBoard(bench);
  bindKeys(bench);
  new ResizeObserver(() => { bench.refit(); bench.redraw(); drawStrip(bench); }).observe(document.getElementById("stage"));
  bench.canvas.addEventListener("webglcontextlost", () => showPlansOnly("The graphics card gave up. Open the page again to see the board in three dimensions."));
  document.body.dataset.state = "open";
}

// What is left when the board cannot be drawn: the plans and the list of problems.
function showPlansOnly(reason) {
  document.body.classList.remove("waiting", "ready");
  document.body.classList.add("flat");
  document.body.dataset.state = "flat";
  const box = document.getElementById("message");
  box.hidden = false;
  box.textContent = `${reason} The plan and the problems are shown instead.`;
}

openPage().catch((error) => showPlansOnly(error.message));
