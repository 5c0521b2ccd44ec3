// The bench: ties the block, the field, the renderer and the panels together.
const BLUE = [0, 0.447, 0.698, 1], INK = [0.17, 0.13, 0.09, 1];
const CELLS = 2e6, FLY_MS = 320;
// Near views: the wood's cells are made finer once they would be seen, over a window as wide as is looked at.
const NEAR_PIXELS = 1.5, NEAR_WIDE = 0.8, NEAR_WAIT_MS = 120;

class Bench {
  constructor(head, column) {
    this.head = head;
    this.column = column;
    this.problems = head.problems.map((problem, k) => ({ ...problem, number: k + 1 }));
    this.said = () => "";
    this.show = { rapids: false, cuts: false, tabs: true, nogo: true, problems: true, outlines: true, names: true, bit: true };
    this.shadeDepth = false;
    this.cells = CELLS;
    this.canvas = document.getElementById("board");
    this.renderer = new Renderer(this.canvas);
    this.overlay = new Overlay((problem) => this.openProblem(problem));
    this.tape = new Tape();
    this.code = new CodeList((file, line) => this.chooseLine(file, line));
    this.clock = new Clock(this);
    this.opened = new Map();
    this.chosen = null;
    this.near = null;
    this.pixels = 1;
    this.stats = { seek: 0, draw: 0 };
    this.frame = 0;
  }

  async openScene(index, time = null) {
    this.clock.toggle(false);
    const ticket = (this.ticket = (this.ticket || 0) + 1);
    const scene = this.head.scenes[index];
    if (!this.opened.has(index)) this.opened.set(index, this._load(scene));
    const loaded = this.opened.get(index);
    Object.assign(this, loaded, { scene, index });
    if (!this.field) {
      this.field = loaded.field = new Field(scene, this.moves, this.cells, this.renderer.widest);
      this.texture = loaded.texture = this.renderer.depths(this.field);
      const pause = (share) => new Promise((go) => { this.say(`Cutting the board: ${Math.round(share * 100)} %`); setTimeout(go); });
      await this.field.prepare(pause, () => ticket !== this.ticket);
      if (ticket !== this.ticket) { loaded.field = null; return; }
    }
    this.say("");
    this.camera.aspect = this.renderer.resize(1);
    if (!loaded.isSeen) this.camera.view("corner");
    loaded.isSeen = true;
    this.chosen = null;
    this.overlay.fill(this);
    fillDepths(this, (level, isOn) => this.showLevel(level, isOn));
    this.clock.suit(Math.max(this.moves.total, 1));
    for (const [k, button] of document.querySelectorAll("#scenes button").entries()) button.setAttribute("aria-pressed", String(k === index));
    this.seek(time === null ? this.moves.total : time);
    drawStrip(this);
  }

  _load(scene) {
    const moves = movesOf(scene, this.column), levels = depthLevels(moves), data = moveLines(moves, levels), draw = this.renderer;
    const kerf = Math.max(3, ...scene.bits.map((bit) => bit.diameter));
    return {
      moves, levels, shownLevels: (1 << levels.length) - 1, camera: new Camera(scene), catches: catchPoints(scene),
      texts: new Map(), rings: scene.pieces.map((piece) => flatten(piece.outline, 0.1)),
      rapids: draw.lines(data.rapids), cuts: draw.lines(data.cuts),
      outlines: draw.lines(contourLines(scene.pieces.flatMap((piece) => [piece.outline, ...piece.inner]))),
      tabs: draw.solid(tabSolid(scene.pieces, kerf, scene.thickness)),
      noGo: draw.solid(noGoSolid(scene.noGo)), shadow: draw.solid(shadowSolid(scene.size, scene.floor)),
      bits: scene.bits.map((bit) => draw.solid(bitSolid(bit))), field: null, texture: null,
    };
  }

  say(words) {
    const box = document.getElementById("message");
    box.textContent = words;
    box.hidden = !words;
  }

  // ---- moments -------------------------------------------------------------------------------------------------
  seek(time) {
    const from = performance.now();
    this.now = momentAt(this.moves, Math.min(Math.max(time, 0), this.moves.total));
    if (this.camera.held === "bit") this.camera.follow(this.now.tip);
    if (this.flight && this.flight.to.held === "bit") this.flight.to.target = [this.now.tip[0], this.now.tip[1], Math.min(this.now.tip[2], 0)];
    this.field.seek(this.now.count, this.now.share);
    this.renderer.refresh(this.texture, this.field);
    this._followNear();
    this.stats.seek = performance.now() - from;
    document.getElementById("time").value = String(this.moves.total ? Math.round(this.now.time / this.moves.total * 1e6) : 0);
    showMoment(this);
    this._showCode();
    this.redraw();
  }

  // The fine wood of a near view goes on with the time; back, or elsewhere, it is laid again once all is at rest.
  _followNear() {
    const { near, now } = this;
    if (!near) return;
    const isBack = now.count < near.field.done || (now.count === near.field.done && now.share < near.field.part);
    if (isBack || near.scene !== this.scene || now.count > near.field.done + 200) { this._dropNear(); return; }
    near.field.seek(now.count, now.share);
    this.renderer.refresh(near.texture, near.field);
  }

  _dropNear() {
    if (this.near) this.renderer.gl.deleteTexture(this.near.texture);
    this.near = null;
  }

  // Lays the fine wood when a pixel has become finer than a cell; drops it when it no longer is, or is looked past.
  _lookNear() {
    const { camera, scene, near } = this, high = this.canvas.clientHeight, pixels = camera.pixelsAt(camera.target, high);
    const wide = Math.min(NEAR_WIDE * camera.distance, 200), [x, y] = camera.target;
    const isIn = near && near.scene === scene && Math.hypot(near.at[0] - x, near.at[1] - y) < wide / 8 && Math.abs(Math.log(near.wide / wide)) < 0.4;
    clearTimeout(this.nearing);
    if (this.field.cell * pixels < NEAR_PIXELS) { this._dropNear(); return; }
    if (isIn) return;
    this.nearing = setTimeout(() => {
      const [w, h] = scene.size, window = [Math.max(x - wide / 2, 0), Math.max(y - wide / 2, 0), Math.min(x + wide / 2, w), Math.min(y + wide / 2, h)];
      if (this.scene !== scene || window[2] - window[0] < 1 || window[3] - window[1] < 1) return;
      this._dropNear();
      const field = new Field(scene, this.moves, this.cells, this.renderer.widest, window);
      this.near = { field, texture: this.renderer.depths(field), at: [x, y], wide, scene };
      field.seek(this.now.count, this.now.share);
      this.renderer.refresh(this.near.texture, field);
      this.redraw();
    }, NEAR_WAIT_MS);
  }

  step(moves) {
    const target = Math.min(Math.max(this.now.count + moves + (this.now.share > 0 && moves < 0 ? 1 : 0), 0), this.moves.count);
    this.seek(target ? this.moves.end[target - 1] : 0);
  }

  _textOf(file) {
    if (!this.texts.has(file)) this.texts.set(file, this.column(file.text));
    return this.texts.get(file);
  }

  _showCode() {
    if (!this.moves.count) return;
    const file = this.chosen && this.chosen.isKept ? this.chosen.file : this.scene.files[this.moves.file[this.now.move]];
    this.code.open(file, this._textOf(file));
    const current = file === this.scene.files[this.moves.file[this.now.move]] ? this.moves.line[this.now.move] : 0;
    const chosen = this.chosen && this.chosen.file === file ? this.chosen.line : 0;
    this.code.mark(current, chosen, this.chosen && this.chosen.isKept ? chosen : current);
  }

  // Move of a line of a file, the next one where the line moves nothing; -1 past the last.
  moveOf(file, line) {
    const lines = this.moves.line.subarray(file.first, file.first + file.count);
    const at = upperBound(lines, line - 1);
    return at < file.count ? file.first + at : -1;
  }

  timeOf(name, line) {
    const file = this.scene.files.find((each) => each.name === name);
    if (!file || !line) return null;
    const move = this.moveOf(file, line);
    return move < 0 ? null : this.moves.end[move];
  }

  chooseLine(file, line) {
    this.chosen = { file, line, isKept: false };
    const move = this.moveOf(file, line);
    if (move < 0) { this._showCode(); return; }
    this.clock.toggle(false);
    this.seek(this.moves.end[move]);
    const seen = this.camera.project(this.now.tip, this.camera.matrix());
    if (!seen || seen[0] < 0.05 || seen[0] > 0.95 || seen[1] < 0.05 || seen[1] > 0.95) this.fly({ target: [this.now.tip[0], this.now.tip[1], 0] });
  }

  // ---- places --------------------------------------------------------------------------------------------------
  isHere(problem) { return problem.board === this.scene.board && problem.face === this.scene.face; }

  async openProblem(problem) {
    const index = this.head.scenes.findIndex((scene) => scene.board === problem.board && scene.face === problem.face);
    if (index >= 0 && index !== this.index) await this.openScene(index);
    this.marked = problem.number;
    markProblem(this.marked);
    this.clock.toggle(false);
    const file = this.scene.files.find((each) => each.name === problem.file), time = this.timeOf(problem.file, problem.line);
    if (file && problem.line) this.chosen = { file, line: problem.line, isKept: false };
    if (time !== null) this.seek(time);
    const place = problem.point || (time !== null ? this.now.tip : this._pieceAt(problem.at));
    if (place) this.fly({ target: [place[0], place[1], Math.min(place[2] || 0, 0)], distance: Math.min(this.camera.distance, 150), pitch: Math.max(this.camera.pitch, 0.7) });
    this.readout(() => `${problem.severity}: ${inUnit(problem.text)}`);
  }

  _pieceAt(id) {
    const piece = this.scene.pieces.find((each) => each.id === id);
    return piece ? [...piece.at, 0] : null;
  }

  nextProblem(step) {
    if (!this.problems.length) return;
    this.problemAt = ((this.problemAt === undefined ? (step > 0 ? -1 : 0) : this.problemAt) + step + this.problems.length) % this.problems.length;
    this.openProblem(this.problems[this.problemAt]);
  }

  fly(goal) {
    const from = this.camera.copyOf(), to = { ...from, held: "", ...goal };
    this.flight = null;
    this.camera.held = "";
    if (window.matchMedia("(prefers-reduced-motion: reduce)").matches) Object.assign(this.camera, to);
    else this.flight = { from, to, start: performance.now() };
    this.redraw();
  }

  view(name) {
    const to = new Camera(this.scene);
    to.aspect = this.camera.aspect;
    to.view(name, this.now.tip);
    this.fly(to.copyOf());
  }

  // A view of the whole board is fitted to the stage again when that has another shape.
  refit() {
    if (!this.field || !this.now) return;
    this.camera.aspect = this.renderer.resize(this.pixels);
    if (VIEWS[this.camera.held] && !this.flight) this.camera.view(this.camera.held);
  }

  // The wood under a point of the canvas, or null; walks the ray as the shader does.
  pick(u, v) {
    const { eye, direction } = this.camera.ray(u, v), [w, h] = this.scene.size;
    if (direction[2] > -0.001) return null;
    const first = eye[2] / -direction[2], last = (eye[2] + this.scene.floor) / -direction[2], steps = 500;
    for (let i = 0; i <= steps; i++) {
      const t = first + (last - first) * i / steps, p = [0, 1, 2].map((k) => eye[k] + direction[k] * t);
      if (p[0] < 0 || p[1] < 0 || p[0] > w || p[1] > h) continue;
      if (p[2] <= -this.field.depthAt(p[0], p[1]) + 0.001) return [p[0], p[1], -this.field.depthAt(p[0], p[1])];
    }
    return null;
  }

  pieceUnder(x, y) {
    const at = this.rings.findIndex((ring) => isInside(ring, x, y));
    return at < 0 ? null : this.scene.pieces[at];
  }

  click(u, v) {
    if (this.tape.isOn) {
      this.tape.add(this.tape.catchAt(this, u, v, this.canvas.clientWidth, this.canvas.clientHeight));
      this.readout(() => this.tape.words());
      this.redraw();
      return;
    }
    const place = this.pick(u, v);
    if (!place) { this.chosen = null; this.readout(() => ""); this._showCode(); return; }
    const [x, y] = place, piece = this.pieceUnder(x, y), { move, z } = cutAt(this.scene, this.moves, x, y, this.now.count);
    const file = move < 0 ? null : this.scene.files[this.moves.file[move]], line = file && this.moves.line[move];
    this.chosen = file && { file, line, isKept: true };
    this._showCode();
    this.readout(() => [
      `x ${showLength(x)}, y ${showLength(y)}, depth ${showLength(-z)}`,
      ...(piece ? [`${piece.id} (number ${piece.order}, ${piece.title})`] : []),
      file ? `cut by line ${line} of ${file.name} at ${showTime(this.moves.begin[move])}` : "not cut",
    ].join(" \u00B7 "));
  }

  // Words that are said again when the units change.
  readout(said) {
    this.said = said;
    document.getElementById("readout").textContent = said();
  }

  _fillWords() {
    fillProblems(this.problems, (problem) => this.openProblem(problem));
    markProblem(this.marked);
    fillList("summary", this.head.summary.map(([name, ...words]) => [name, inUnit(words)]));
  }

  // ---- what is shown -------------------------------------------------------------------------------------------
  setShown(name, isOn) {
    this.show[name] = isOn;
    document.getElementById(`show-${name}`).checked = isOn;
    this.redraw();
  }

  showLevel(level, isOn) {
    const bit = 1 << level, loaded = this.opened.get(this.index);
    this.shownLevels = loaded.shownLevels = isOn ? this.shownLevels | bit : this.shownLevels & ~bit;
    if (isOn && !this.show.cuts) this.setShown("cuts", true);
    this.redraw();
  }

  setUnits(isMetric) {
    units.isMetric = isMetric;
    document.getElementById("unit-mm").setAttribute("aria-pressed", String(isMetric));
    document.getElementById("unit-in").setAttribute("aria-pressed", String(!isMetric));
    this._fillWords();
    if (!this.now) return;
    fillDepths(this, (level, isOn) => this.showLevel(level, isOn));
    showMoment(this);
    this.overlay.fill(this);
    this.readout(this.said);
    this.redraw();
  }

  setMeasuring(isOn) {
    this.tape.isOn = isOn;
    this.tape.points = [];
    this.tape.hover = null;
    document.getElementById("measure").setAttribute("aria-pressed", String(isOn));
    this.canvas.classList.toggle("measuring", isOn);
    this.readout(() => (isOn ? this.tape.words() : ""));
    this.redraw();
  }

  async setFine(isFine) {
    this.cells = isFine ? CELLS * 3 : CELLS;
    for (const loaded of this.opened.values()) {
      if (loaded.texture) this.renderer.gl.deleteTexture(loaded.texture);
      Object.assign(loaded, { field: null, texture: null });
    }
    await this.openScene(this.index, this.now.time);
  }

  // ---- drawing -------------------------------------------------------------------------------------------------
  redraw() {
    if (!this.frame) this.frame = requestAnimationFrame((time) => { this.frame = 0; this.draw(time); });
  }

  _fly(time) {
    if (!this.flight) return;
    const { from, to, start } = this.flight, t = Math.min(Math.max((time - start) / FLY_MS, 0), 1), s = t * t * (3 - 2 * t);
    const mix = (a, b) => a + (b - a) * s;
    Object.assign(this.camera, {
      target: from.target.map((a, k) => mix(a, to.target[k])), yaw: mix(from.yaw, to.yaw),
      pitch: mix(from.pitch, to.pitch), distance: mix(from.distance, to.distance),
    });
    if (t >= 1) { this.camera.held = to.held; this.flight = null; }
  }

  // Fewer pixels while things move, if frames come slowly; all of them again at rest.
  _pace(time) {
    const isMoving = this.clock.isRunning || this.flight || this.isDragging;
    if (isMoving && this.lastFrame && time - this.lastFrame > 60) this.pixels = Math.max(0.5, this.pixels * 0.8);
    if (!isMoving && this.pixels < 1) {
      clearTimeout(this.settle);
      this.settle = setTimeout(() => { this.pixels = 1; this.redraw(); }, 180);
    }
    this.lastFrame = isMoving ? time : 0;
  }

  draw(time) {
    if (!this.field || !this.now) return;
    const from = performance.now();
    this.clock.tick(time);
    this._fly(time);
    this._pace(time);
    const { renderer: r, scene, camera, show, now } = this;
    camera.aspect = r.resize(this.pixels);
    const matrix = (this.matrix = camera.matrix());
    r.begin();
    r.drawSolid(this.shadow, matrix, { size: scene.size, isGlass: true });
    if (!this.flight && !this.clock.isRunning) this._lookNear();
    r.drawWood(scene, this.field, this.texture, this.near, camera, matrix, this.shadeDepth);
    if (show.outlines) r.drawLines(this.outlines, matrix, { ink: [...INK.slice(0, 3), 0.85], casing: [...INK.slice(0, 3), 0.25], wide: 2.2, through: 0.1 });
    if (show.cuts) {
      r.drawLines(this.cuts, matrix, { ink: [1, 1, 1, 1], casing: [1, 1, 1, 0.85], wide: 3.8, now: now.time, levels: this.shownLevels, thickness: scene.thickness, through: 0.25 });
    }
    if (show.rapids) r.drawLines(this.rapids, matrix, { ink: BLUE, casing: [1, 1, 1, 0.6], wide: 2.8, now: now.time, dash: 12, through: 0.3 });
    if (show.tabs) r.drawSolid(this.tabs, matrix, {});
    if (show.nogo) r.drawSolid(this.noGo, matrix, { isGlass: false });
    if (show.bit && this.moves.count) this._drawBit(matrix);
    this.overlay.place(camera, matrix, this.canvas.clientWidth, this.canvas.clientHeight, show);
    this.tape.draw(camera, matrix, this.canvas.clientWidth, this.canvas.clientHeight);
    this.stats.draw = performance.now() - from;
    this.drawn = (this.drawn || 0) + 1;
    if (this.clock.isRunning || this.flight) this.redraw();
  }

  _drawBit(matrix) {
    const solid = this.bits[this.moves.bit[this.now.move]];
    if (solid) this.renderer.drawSolid(solid, matrix, { at: this.now.tip, turned: this.now.time * 7, alpha: 1 });
  }
}
