// The floor: what is owned and how it lies, drawn to scale, and what closes its gaps.

function floorView() {
  const [file] = kindFiles("floor");
  const intro = h("p", {}, "A loop misses by a finger's width, or a line should go right down the hallway: write what you own and how it lies, and see what is to be made.");
  if (!file) {
    return [h("h2", {}, "The floor"), intro, doing("Begin a floor", async () => {
      const { text } = await ask("begin", { kind: "floor" });
      const told = await save({ how: "new", file: "floor.toml", text });
      return told.ok ? undefined : refusal(told.refused ?? [{ sentence: told.conflict }]);
    })];
  }
  const drawn = h("figure", {});
  const out = h("div", {});
  let said = "";
  const text = textPart(file, () => desk.others[file]?.text ?? "");
  onLook(async () => {
    const told = await askNow("floor", { file });
    if (!told) return;
    desk.others[file] = { text: told.text ?? "" };
    text.refresh();
    if (told.svg) drawn.replaceChildren(drawing(told.svg, `The floor from above: ${told.title}`));
    const faults = told.refused ?? told.faults ?? [];
    const now = JSON.stringify([faults, told.lines, told.gaps]);
    if (now === said) return; // news of other files leaves answers where they stand
    said = now;
    out.replaceChildren(...[faults.length ? refusal(faults) : "", told.lines?.length ? lines(told.lines) : "",
      ...(told.gaps ?? []).map((gap) => doing(`What closes ${gap}?`, () => closing(file, gap)))].filter(Boolean));
  });
  return [h("h2", {}, "The floor"), intro, drawn, out, text.parts];
}

async function closing(file, gap) {
  const told = await ask("close", { file, gap });
  if (told.refused) return refusal(told.refused);
  return [lines(told.lines.filter((line) => line.trim())), ...told.answers.map((answer, index) => h("article", { class: "entry" },
    h("h4", {}, `${index + 1}. ${answer.pieces}`), h("figure", {}, drawing(answer.svg, `The floor with ${answer.pieces}`)),
    answer.new.length ? doing(`Put what is new into ${desk.job}`, () => takeOver(answer.new)) : h("p", { class: "good" }, "Owned pieces alone: nothing is to be made.")))];
}

async function takeOver(pieces) {
  const there = desk.looked.data?.piece?.length ?? 0;
  const edits = pieces.map((piece, index) => ({ path: ["piece", there + index], new: piece }));
  const told = await save({ file: desk.job, edits });
  return told.ok ? h("p", { class: "good" }, "In the cut list now.") : refusal(told.refused ?? [{ sentence: told.conflict }]);
}
