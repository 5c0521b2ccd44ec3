// The whole: which job, which view, what was last told of it, and what is wrong with it.

const VIEWS = [
  ["set", "What set", setView, ["mate", "track", "wheel", "joint"]],
  ["board", "Board", boardView, ["board", "holding", "turning"]],
  ["bit", "Bit and machine", bitView, ["bits", "bit", "edges", "cutting"]],
  ["pieces", "Pieces", piecesView, ["piece"]],
  ["make", "Make", makeView, []],
  ["air", "Air pass", airView, []],
  ["cut", "Cut", cutView, []],
  ["fit", "How it fits", fitView, ["fit"]],
  ["floor", "The floor", floorView, []],
  ["file", "The file", fileView, []],
  ["keys", "All keys", keysView, []],
];

const desk = {
  job: "", files: [], looked: {}, faults: [], proof: {}, made: undefined, lists: undefined, keys: {},
  view: "set", revision: -1, isNew: true, isBuilding: false, others: {}, open: new Set(), drafts: {}, lookers: [], building: undefined, shape: "", focus: undefined,
};

/** Called now and whenever the job was looked at anew, for as long as the view stands. */
function onLook(does) {
  desk.lookers.push(does);
  does();
}

function shapeOf(data) {
  if (Array.isArray(data)) return data.some((one) => typeof one === "object" && one) ? data.map(shapeOf) : "";
  if (data && typeof data === "object") {
    const inner = Object.entries(data).filter(([, value]) => value && typeof value === "object").map(([key, value]) => [key, shapeOf(value)]);
    return [data.kind ?? "", inner.filter(([, shape]) => shape !== "")];
  }
  return "";
}

function show(view, focus) {
  desk.view = view;
  desk.focus = focus;
  build();
  if (!focus) document.getElementById("view").focus();
  window.scrollTo(0, 0);
}

function build() {
  if (!desk.lists) return;
  const main = document.getElementById("view");
  const [name, title, view] = VIEWS.find(([id]) => id === desk.view);
  const had = document.activeElement;
  const held = had?.dataset?.path;
  const wasInside = main.contains(had);
  desk.lookers = [];
  desk.shape = signature();
  for (const step of document.querySelectorAll("#steps button")) {
    if (step.dataset.view === name) step.setAttribute("aria-current", "step"); else step.removeAttribute("aria-current");
  }
  document.title = `${title}: ${desk.looked.title ?? desk.job}`;
  const hasJob = desk.job && (desk.looked.data || name === "file" || name === "keys");
  desk.isBuilding = true; // a field that is taken away half typed has not been filled in
  main.replaceChildren(...(hasJob ? view().flat(9) : desk.job ? fileView() : startView()).filter((one) => one !== "" && one !== undefined));
  desk.isBuilding = false;
  aside();
  const wanted = desk.focus ? JSON.stringify(desk.focus) : held;
  desk.focus = undefined;
  if (wanted) focusOn(wanted);
  if (held && document.activeElement.dataset.path === held) takeHand(had, document.activeElement);
  if (wasInside && document.activeElement === document.body) main.focus();
}

/** What a hand was typing or had marked in a field goes on in the field that takes its place. */
function takeHand(from, to) {
  if (!["text", "textarea"].includes(to.type)) return;
  if (to.value !== from.value) {
    to.value = from.value;
    to.dispatchEvent(new Event("input"));
  }
  to.setSelectionRange(from.selectionStart, from.selectionEnd);
}

function focusOn(path) {
  const fields = [...document.querySelectorAll("[data-path]")];
  const found = fields.find((one) => one.dataset.path === path) ?? fields.find((one) => one.dataset.path.startsWith(path.slice(0, -1)));
  if (!found) return;
  for (let up = found.closest("details"); up; up = up.parentElement.closest("details")) up.open = true;
  found.focus();
}

function signature() {
  const { looked } = desk;
  return JSON.stringify([desk.view, desk.job, !looked.data, shapeOf(looked.data), Object.values(looked.own ?? {}).map((one) => [one.file, shapeOf(one.data)]), ["bought", "readings", "floor"].map(kindFiles)]);
}

function aside() {
  const side = document.getElementById("beside");
  const drawn = h("div", {});
  let shown = "";
  side.replaceChildren(drawn, h("div", { class: "sums" }), stateLines());
  onLook(() => {
    const { drawings, sums } = desk.looked;
    side.hidden = !desk.job || ["floor", "file", "keys"].includes(desk.view);
    const all = JSON.stringify(drawings);
    if (drawings && all !== shown) {
      shown = all;
      drawn.replaceChildren(...drawings.map((one) => h("figure", {}, drawing(one.svg), h("figcaption", {}, `Board ${one.board}`))));
    }
    side.classList.toggle("was", !drawings);
    if (sums) side.querySelector(".sums").textContent = `${sums.pieces} ${sums.pieces === 1 ? "piece" : "pieces"} on ${sums.boards} ${sums.boards === 1 ? "board" : "boards"}`;
  });
}

const OF_JOB = { machine: "bit", material: "bit", profiles: "bit", bits: "bit", woods: "bit", shop: "fit", units: "board", placing: "board", title: "make", name: "make" };

function viewOf(fault) {
  if (fault.file !== desk.job) return Object.values(desk.looked.own ?? {}).some((one) => one.file === fault.file) ? "bit" : "file";
  if (fault.path[0] === "job") return OF_JOB[fault.path[1]] ?? "board";
  return VIEWS.find(([, , , tables]) => tables.includes(fault.path[0]))?.[0] ?? "file";
}

function trouble() {
  const region = document.getElementById("trouble");
  const rows = desk.faults.map((fault) => h("li", {}, fault.sentence, " ",
    button("Go there", () => show(viewOf(fault), [fault.file, ...fault.path]), { class: "quiet", "aria-label": `Go to: ${fault.sentence.slice(0, 60)}` }),
    isUnknown(fault) ? button("Take it out", () => change({ file: desk.job, path: fault.path, old: at(desk.looked.data, fault.path), to: undefined, beside: {} }), { class: "quiet" }) : ""));
  region.hidden = !rows.length;
  region.replaceChildren(h("h2", {}, rows.length === 1 ? "One thing is wrong" : `${rows.length} things are wrong`), h("ul", {}, rows));
}

function isUnknown(fault) {
  return fault.cure === "take_out" && at(desk.looked.data, fault.path) !== undefined;
}

function takeFaults(faults) {
  desk.faults = faults.map((fault) => ({ ...fault, file: fault.file || desk.job }));
  trouble();
}

function hear(news) {
  if (news.event === "gone") {
    say("The page has lost its server.");
    document.getElementById("trouble").replaceChildren(h("p", { class: "bad" }, "The page has lost its server. Start platelayer again and open the address it gives."));
    document.getElementById("trouble").hidden = false;
    return;
  }
  if (news.revision < desk.revision) return;
  if (news.event === "looked" || (news.event === "read" && desk.revision < 0)) {
    const isFirst = desk.revision < 0;
    const machines = kindFiles("machine").join();
    desk.revision = news.revision;
    if (news.died || news.broken) news.refused = [{ sentence: news.broken ?? "This took too much and was given up.", path: [], problem: "" }];
    if (news.refused) news.faults = news.refused;
    desk.files = news.files;
    desk.looked = news;
    takeFaults(news.faults ?? []);
    desk.proof = {};
    for (const { file, data } of Object.values(news.own ?? {})) desk.others[file] = { data };
    if (desk.isNew && desk.faults.length) {
      desk.view = viewOf(desk.faults[0]);
      desk.focus = [desk.faults[0].file, ...desk.faults[0].path];
    }
    if (news.event === "looked") desk.isNew = false;
    chooser();
    if (!isFirst && machines !== kindFiles("machine").join()) fetchLists();
  } else if (news.event === "working") desk.proof.working = news.words;
  else if (news.event === "planned") {
    desk.proof.minutes = news.minutes;
    desk.proof.isMoved = Boolean(news.drawings);
    if (news.drawings) desk.looked.drawings = news.drawings;
  }
  else if (news.event === "proved") {
    desk.proof = { ...desk.proof, ...news, working: "" };
    if (news.faults) takeFaults(news.faults);
  }
  if (!desk.lists) return;
  if (["read", "looked"].includes(news.event) && desk.shape !== signature()) build();
  else for (const does of desk.lookers) does();
  if (news.event === "looked") say(desk.faults.length ? `${desk.faults.length} wrong: ${desk.faults[0].sentence}` : `${news.sums?.pieces ?? 0} pieces laid.`);
  if (news.event === "proved") say(news.verdict ?? "");
}

async function choose(job) {
  desk.job = job;
  desk.revision = -1;
  desk.isNew = true;
  desk.looked = {};
  desk.shape = "";
  const fetched = fetchLists();
  listen(job, hear);
  await fetched;
}

/** What there is to choose from, machines of this folder among it. */
async function fetchLists() {
  const lists = await ask("lists", { job: desk.job });
  if (lists.refused) return;
  desk.lists = lists;
  desk.keys = lists.keys;
  if (!desk.job || desk.revision >= 0) build();
}

function chooser() {
  const jobs = kindFiles("job");
  const which = document.getElementById("which");
  if (jobs.length < 2) {
    which.replaceChildren(desk.job);
    return;
  }
  const list = h("select", { "aria-label": "Which job", onchange: () => choose(list.value) }, jobs.map((name) => h("option", { value: name, selected: name === desk.job }, name)));
  which.replaceChildren(list);
}

function startView() {
  const name = h("input", { id: "new-name", type: "text", value: "job", autocomplete: "off" });
  return [h("h2", {}, "A new job"), h("p", {}, "There is no job in this folder yet. This begins one: two straights and a curve, to be changed as you like."),
    h("div", { class: "field" }, h("label", { for: "new-name" }, "What the file is called"), name),
    doing("Begin", async () => {
      const { text } = await ask("begin", { kind: "job" });
      const file = `${name.value.trim()}.toml`;
      const told = await save({ how: "new", file, text });
      if (!told.ok) return refusal(told.refused ?? [{ sentence: told.conflict }]);
      await choose(file);
      return undefined;
    }, { class: "main" })];
}

/** The job's own text, for what the page does not know and for what is no TOML any more. */
function fileView() {
  const text = textPart(desk.job, () => desk.looked.text ?? "");
  onLook(text.refresh);
  return [h("h2", {}, `The file ${desk.job}`), h("p", {}, "The same as the fields show. A text editor will do as well: what is saved there shows here."), text.parts];
}

/** The text of a file to be changed as a whole; what is typed and not saved outlives a view that is built anew. */
function textPart(file, textOf) {
  const text = h("textarea", { id: "text", rows: 24, spellcheck: "false", class: "text" });
  const fault = h("div", { class: "fault", id: "text-fault" });
  text.addEventListener("input", () => { desk.drafts[file] = { typed: text.value, seen: desk.drafts[file]?.seen ?? textOf() }; });
  const refresh = () => {
    const whole = desk.faults.find((one) => one.file === file && !one.path.length && one.line);
    fault.replaceChildren(whole ? `Line ${whole.line}: ${whole.sentence}` : "");
    const draft = desk.drafts[file];
    if (draft && draft.typed === textOf()) delete desk.drafts[file];
    const wanted = desk.drafts[file]?.typed ?? textOf();
    if (text.value === wanted) return;
    text.value = wanted;
    if (whole) text.setSelectionRange(...lineSpan(wanted, whole.line));
  };
  const send = (old) => async () => {
    const told = await save({ file, edits: [{ path: [], old, new: text.value }] });
    if (told.ok) delete desk.drafts[file];
    if (told.conflict) {
      return [h("p", { class: "bad" }, "The file was changed meanwhile. What stands in it now:"), h("pre", {}, told.found), doing("Write mine over it", send(told.found))];
    }
    return told.ok ? h("p", { class: "good" }, "Saved.") : refusal(told.refused);
  };
  const back = async () => {
    delete desk.drafts[file];
    const told = await save({ how: "back", file, seen: textOf() });
    return told.ok ? h("p", { class: "good" }, "As it was before the last change.") : refusal(told.refused ?? [{ sentence: told.conflict }]);
  };
  const parts = [h("label", { for: "text" }, "Its text"), fault, text,
    doing("Save the text", () => send(desk.drafts[file]?.seen ?? textOf())(), { class: "main" }), doing("Put back what stood before the last change", back)];
  return { parts, refresh };
}

function lineSpan(text, line) {
  const rows = text.split("\n");
  const start = rows.slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
  return [start, start + (rows[line - 1]?.length ?? 0)];
}

function keysView() {
  return [h("h2", {}, "All keys"), h("p", {}, "Every table and key of every file: what it means, its limits and an example."), framed("Show them", "keys")];
}

async function open() {
  document.getElementById("steps").replaceChildren(...VIEWS.map(([id, title]) => h("li", {}, button(title, () => show(id), { "data-view": id }))));
  const main = document.getElementById("view");
  document.getElementById("trouble").hidden = true;
  if (!(await enter())) {
    main.replaceChildren(h("h2", {}, "This address was used already"), h("p", {}, "Each address opens one page, once. Press Enter in the window where platelayer runs: it gives a new one."));
    return;
  }
  const told = await ask("files");
  desk.files = told.files ?? [];
  document.getElementById("folder").textContent = told.folder ?? "";
  const [job] = kindFiles("job").concat(kindFiles("unreadable"));
  if (job) {
    await choose(job);
    return;
  }
  await fetchLists();
}

open();
