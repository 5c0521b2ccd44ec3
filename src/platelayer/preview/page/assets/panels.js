// What stands beside the board: problems, the moment in figures, the summary, the levels of depth.
function fillList(id, rows) {
  document.getElementById(id).replaceChildren(...rows.flatMap(([name, value]) => {
    const term = document.createElement("dt"), words = document.createElement("dd");
    term.textContent = name;
    words.textContent = value;
    return [term, words];
  }));
}

function fillProblems(problems, open) {
  const list = document.getElementById("problems"), count = document.getElementById("problem-count");
  count.textContent = problems.length ? String(problems.length) : "none";
  list.replaceChildren(...problems.map((problem) => {
    const item = document.createElement("li"), button = document.createElement("button"), sign = document.createElement("i");
    button.type = "button";
    button.dataset.number = String(problem.number);
    sign.className = `sign ${problem.severity}`;
    sign.textContent = String(problem.number);
    const words = document.createElement("span"), what = document.createElement("b"), place = document.createElement("small");
    what.textContent = `${problem.severity}: `;
    place.textContent = [problem.file && problem.line ? `${problem.file}:${problem.line}` : problem.file, problem.piece].filter(Boolean).join(", ");
    words.append(what, inUnit(problem.text), " ");
    if (inUnit(problem.advice)) { const mend = document.createElement("em"); mend.textContent = inUnit(problem.advice); words.append(mend, " "); }
    words.append(place);
    button.append(sign, words);
    button.addEventListener("click", () => open(problem));
    item.append(button);
    return item;
  }));
}

function markProblem(number) {
  for (const button of document.querySelectorAll("#problems button")) {
    const isChosen = Number(button.dataset.number) === number;
    button.classList.toggle("chosen", isChosen);
    if (isChosen) button.scrollIntoView({ block: "nearest" });
  }
}

const WORDS_OF_KIND = ["rapid", "straight cut", "arc, clockwise", "arc, counter-clockwise"];

function showMoment(bench) {
  const { moves, now, scene } = bench;
  if (!moves.count) { fillList("moment", [["Moves", "none on this face"]]); return; }
  const i = now.move, bit = scene.bits[moves.bit[i]], file = scene.files[moves.file[i]];
  const depth = -now.tip[2];
  fillList("moment", [
    ["Move", `${WORDS_OF_KIND[moves.kind[i]]}, line ${moves.line[i]}`],
    ["Bit", bit ? `${bit.kind.replace("_", "-")} ${showLength(bit.diameter)}` : "-"],
    ["x, y", `${showLength(now.tip[0])}, ${showLength(now.tip[1])}`],
    [depth > 0 ? "Depth" : "Above wood", showLength(Math.abs(depth))],
    ["Feed", moves.kind[i] === 0 ? "rapid" : units.isMetric ? `${Math.round(moves.feed[i])} mm/min` : `${(moves.feed[i] / units.inch).toFixed(0)} in/min`],
    ["File", file.name],
  ]);
  document.getElementById("clock").textContent = `${showTime(now.time)} of ${showTime(moves.total)}`;
}

function fillDepths(bench, changed) {
  const box = document.getElementById("depths");
  box.replaceChildren(...bench.levels.map((level, k) => {
    const label = document.createElement("label"), tick = document.createElement("input"), key = document.createElement("i");
    tick.type = "checkbox";
    tick.checked = Boolean((bench.shownLevels >> k) & 1);
    tick.addEventListener("change", () => changed(k, tick.checked));
    key.className = "key";
    key.style.background = depthColour(level.name / bench.scene.thickness);
    label.append(tick, " ", key, ` ${showLength(level.name)}${level.name >= bench.scene.thickness - 0.01 ? ", through" : ""}`);
    return label;
  }));
}

// Colour of a depth as a share of the thickness: the plan's own, in the strip and the line shader too.
function depthColour(share) {
  const stops = [[224, 184, 121], [178, 125, 66], [116, 72, 36], [58, 34, 18]], p = Math.min(share, 1) * 3, k = Math.min(Math.floor(p), 2);
  return `rgb(${stops[k].map((a, c) => Math.round(a + (stops[k + 1][c] - a) * (p - k))).join(" ")})`;
}
