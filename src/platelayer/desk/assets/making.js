// Make, the run in the air, the cut itself, and a cut that stopped.

function stateLines() {
  const out = h("div", { class: "state" });
  onLook(() => {
    const { looked, proof } = desk;
    const told = [];
    if (proof.minutes) told.push(h("p", {}, `${proof.minutes} at the machine, by the moves.`));
    else if (looked.about) told.push(h("p", {}, `About ${looked.about} at the machine.`));
    if (proof.isMoved) told.push(h("p", {}, "Tabs found no room where pieces lay at first: they lie further apart now, as they will be cut."));
    if (desk.faults.length) told.push(h("p", { class: "bad" }, "Not to be cut as it stands."));
    else if (proof.verdict) told.push(h("p", { class: proof.passed ? "good" : "bad" }, proof.verdict));
    else if (proof.working) told.push(h("p", { class: "busy" }, `${proof.working} …`));
    out.replaceChildren(...told);
  });
  return out;
}

function makeView() {
  const found = h("div", {});
  onLook(() => {
    const rows = desk.proof.findings ?? [];
    found.replaceChildren(rows.length ? h("div", {}, h("h4", {}, "To note"), lines(rows.map((row) => row.words))) : "");
  });
  const make = (force) => async () => {
    const told = await ask("make", { job: desk.job, force });
    if (told.refused) {
      return [refusal(told.refused), mayWriteOver(told.refused) ? doing("Write over them", make(true)) : ""];
    }
    desk.made = told;
    if (!told.passed) return [h("p", { class: "bad" }, told.verdict), lines(told.findings.map((one) => one.words))];
    return [h("p", { class: "good" }, `${told.verdict} ${told.minutes} at the machine.`),
      h("p", {}, `Written to the folder ${told.folder}.`), button("On to the air pass", () => show("air"))];
  };
  return [
    h("h2", {}, "Make"),
    h("p", {}, "Paths are worked out, written, read back from disk, and run dry. Nothing is handed over that fails."),
    stateLines(), doing("Make the files", make(false), { class: "main" }), found,
    section("What it will be called", tableFields("job", ["title"])),
  ];
}

function withMade(shown) {
  const out = h("div", {}, h("p", { class: "busy" }, "Looking at what was made …"));
  const fill = async () => {
    desk.made = await ask("shop", { job: desk.job });
    const made = desk.made;
    out.replaceChildren(...(made.refused ? [refusal(made.refused)] : made.is_made ? [older(made), ...shown(made)].flat(9)
      : [h("p", {}, "Nothing is made yet."), button("To make", () => show("make"))]));
  };
  if (desk.looked.data) fill();
  return out;
}

function older(made) {
  if (!made.passed) return h("p", { class: "bad" }, made.verdict);
  return made.is_older ? h("p", { class: "bad" }, "The job was changed since these files were made. Make it again.") : "";
}

const HANDS = "Your hand goes near the bit now: spindle off and standing still, the plug or the stop within reach.";

function fileLink(folder, name) {
  return doing(`Save a copy of ${name}`, async () => {
    const told = await ask("copy", { file: `${folder}/${name}`, kind: "gcode" });
    if (told.refused) return refusal(told.refused);
    hand(told.text, told.name, "text/plain");
    return h("p", { class: "good" }, "Proved from disk just now, and saved.");
  }, { class: "quiet" });
}

function airView() {
  return [h("h2", {}, "Air pass"), h("p", {}, "Files that cut nothing. The trace goes round the board and every piece at safe height; the air files run each program raised clear of the wood, spindle off."),
    h("p", { class: "caution" }, HANDS),
    withMade((made) => [
      h("ol", { class: "checks" }, made.air.map((name) => h("li", {}, check(`${name}: run it, and watch clamps, board edges and the cable`), fileLink(made.air_folder, name)))),
      button("On to the cut", () => show("cut"))])];
}

function check(label) {
  return h("label", { class: "check" }, h("input", { type: "checkbox" }), h("span", {}, label));
}

function cutView() {
  return [h("h2", {}, "Cut"), withMade((made) => [
    h("ol", { class: "files" }, made.files.map((file) => h("li", {}, h("h3", {}, file.name), h("p", {}, `Board ${file.board}, ${file.face} face; ${file.minutes}.`),
      h("p", { class: "caution" }, HANDS),
      h("ul", { class: "checks" }, file.bits.map((bit) => h("li", {}, check(`${bit.id} in the collet, tight${bit.reach ? `, ${bit.reach} out` : ""}${bit.dial ? `; dial at ${bit.dial}` : ""}`))),
        file.before.map((one) => h("li", {}, check(one))),
        h("li", {}, check(`Board ${file.board} held as drawn, ${file.face} face up`)),
        h("li", {}, check(`Zero set: x and y at the near left corner, z ${file.zero === "top" ? "on top of the wood" : "on the spoilboard"}, with this very bit`)),
        h("li", {}, check("Air pass of this file run and watched")), h("li", {}, check("Eyes and ears covered, dust drawn off, nobody else near"))),
      fileLink(made.folder, file.name)))),
    framed("Watch the dry run", `${made.folder}/${made.page}`), paperLinks(made), sheetParts(made.sheet), stopped(made)])];
}

function framed(title, file) {
  const out = h("div", {});
  return h("div", {}, button(title, async () => {
    const answer = await post("/ticket", { file });
    const { ticket } = await answer.json();
    out.replaceChildren(h("iframe", { title, src: `/seen/${ticket}`, sandbox: "allow-scripts" }));
  }), out);
}

function paperLinks(made) {
  return made.papers.map((paper) => doing(`Save ${paper}`, async () => {
    const told = await ask("copy", { file: `${made.folder}/${paper}`, kind: "paper" });
    if (told.refused) return refusal(told.refused);
    hand(Uint8Array.from(atob(told.base64), (letter) => letter.codePointAt(0)), told.name, "application/pdf");
    return undefined;
  }, { class: "quiet" }));
}

function sheetParts(sheet) {
  return folded("The shop sheet", [...sheet.first, ...sheet.after].map((part) => section(part.title, part.sentences.length ? lines(part.sentences) : "",
    part.checks.length ? h("ul", { class: "checks" }, part.checks.map((one) => h("li", {}, check(one)))) : "",
    part.table?.rows.length ? h("div", { class: "scrolls", tabindex: "0", role: "region", "aria-label": part.title }, h("table", {}, h("thead", {}, h("tr", {}, part.table.head.map((cell) => h("th", { scope: "col" }, cell)))),
      h("tbody", {}, part.table.rows.map((row) => h("tr", {}, row.map((cell) => h("td", {}, cell))))))) : "")));
}

/** A cut that stopped goes on from a line, a piece or a pass. */
function stopped(made) {
  const pick = (id, label, input) => h("div", { class: "field" }, h("label", { for: id }, label), input);
  const file = h("select", { id: "stopped-file" }, made.files.map((one) => h("option", { value: one.name }, one.name)));
  const line = h("input", { id: "stopped-line", type: "text", inputmode: "numeric", autocomplete: "off" });
  const piece = h("select", { id: "stopped-piece" }, h("option", { value: "" }, "(by the line)"), made.pieces.map((id) => h("option", { value: id }, id)));
  const zero = (value, label) => h("label", { class: "check" }, h("input", { type: "radio", name: "zero", value }), h("span", {}, label));
  return section("A cut stopped",
    h("p", {}, "Note the last line that was surely cut. The new file begins where the bit came down on the wood's top, and is handed over only when both together pass the dry run."),
    h("p", { class: "caution" }, HANDS),
    h("div", { class: "fields" }, pick("stopped-file", "Which file", file), pick("stopped-line", "Last line surely cut", line), pick("stopped-piece", "Or go on with a piece", piece)),
    h("fieldset", {}, h("legend", {}, "Zero"), zero("kept", "kept: nothing moved, nothing lost"),
      zero("lost", "lost: power failed, a motor stalled or slipped, the bit was changed, the board moved, or I am not sure")),
    doing("Write the file that goes on", async () => {
      const chosen = document.querySelector("input[name=zero]:checked")?.value ?? "";
      const start = piece.value ? { piece: piece.value, number: 1 } : { line: Number(line.value.trim() || Number.NaN) };
      const told = await ask("recut", { file: `${made.folder}/${file.value}`, zero: chosen, start });
      if (told.refused) return refusal(told.refused);
      if (!told.passed) return [h("p", { class: "bad" }, told.verdict), lines(told.findings.map((one) => one.words))];
      return [h("p", { class: "good" }, `Dry run together with what was cut before: passed. Written to ${told.file}.`), lines(told.sentences),
        button(`Save a copy of ${told.name}`, () => hand(told.text, told.name, "text/plain"))];
    }));
}
