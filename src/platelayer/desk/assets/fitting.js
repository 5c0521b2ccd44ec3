// How does it fit: the feel wished for, a card, its readings one after another, and what they come to.

function fitView() {
  const out = h("div", {});
  onLook(async () => {
    if (!desk.looked.data) return;
    const told = await askNow("wish", { job: desk.job });
    if (!told) return;
    const drawn = told.svg ? h("figure", { class: "wide" }, drawing(told.svg, "Peg in socket, before and after the correction")) : "";
    out.replaceChildren(...[told.refused ? refusal(told.refused) : "", told.faults?.length ? refusal(told.faults) : "",
      told.play ? h("p", { class: "sums" }, told.play) : "", drawn, told.words?.length ? lines(told.words) : "",
      told.feels ? folded("What the words mean", lines(told.feels)) : ""].filter(Boolean));
  });
  const feels = ["snug", "easy", "loose", "best"].map((id) => ({ id, words: "" }));
  const cards = kindFiles("readings");
  return [
    h("h2", {}, "How does it fit?"),
    section("How a joint should feel", tableFields("fit", ["feel", "side", "pull", "part"], { choices: { feel: feels } }), out),
    cardPart(),
    cards.map((file) => readingsPart(file)),
  ];
}

function cardPart() {
  const board = h("input", { id: "card-board", type: "text", autocomplete: "off", placeholder: "14 x 7 in" });
  const make = (force) => async () => {
    const told = await ask("card", { job: desk.job, board: board.value.trim(), force });
    if (told.refused) {
      return [refusal(told.refused), mayWriteOver(told.refused) ? doing("Make it anew: the readings in it go", make(true)) : ""];
    }
    return [h("p", { class: "good" }, "The card is made, and its dry run passed."), lines(told.lines),
      told.files.map((file) => fileLink(file.split("/").slice(0, -1).join("/"), file.split("/").at(-1)))];
  };
  return section("A card to measure", h("p", {}, "Four pegs, each a little smaller, a socket, and slots for the caliper, from a scrap of the same wood, cut by the joints bit alone."),
    h("div", { class: "field" }, h("label", { for: "card-board" }, "Scrap to cut it from"), board, h("p", { class: "hint" }, "Left out: the job's first board.")),
    doing("Make a card", make(false)));
}

/** Every reading of one card, saved into its own file one by one. */
function readingsPart(file) {
  const fields = h("div", {});
  const asked = h("div", {});
  let built = false;
  onLook(async () => {
    const told = await askNow("readings", { file });
    if (!told) return undefined;
    if (told.refused) return asked.replaceChildren(refusal(told.refused));
    desk.others[file] = { data: told.data };
    if (!built) {
      built = true;
      fields.replaceChildren(h("div", { class: "fields" }, told.fields.map((one) => field({
        file, path: one.path, label: words(one.words),
        key: { name: one.path.at(-1), kind: "lengths", meaning: `Drawn ${one.drawn}. Three readings, commas between.`, unsaid: "", choices: [] },
      })), field({ file, path: ["best_peg"], label: "Pips of the peg that went in best by hand",
        key: { name: "best_peg", kind: "count", meaning: "0 for none.", unsaid: "", choices: [] } })));
    }
    asked.replaceChildren(...told.asked.map((one) => h("label", { class: "asked" },
      h("input", { type: "checkbox", "data-where": one.where, "data-index": one.index }), ` Leave out: ${one.words}`)));
    return undefined;
  });
  const read = (keep) => async () => {
    const out = [...asked.querySelectorAll("input:checked")].map((box) => [box.dataset.where, Number(box.dataset.index)]);
    const told = await ask("read_card", { file, left_out: out, keep });
    if (told.refused) return refusal(told.refused);
    if (told.doubts) {
      return [h("p", { class: "bad" }, "Nothing is kept: these readings do not go together."), lines(told.doubts),
        told.may_be ? doing("They are right all the same", read(true)) : ""];
    }
    const job = desk.looked.data?.job ?? {};
    if (!job.shop) await save({ file: desk.job, edits: [{ path: ["job", "shop"], old: job.shop, new: told.shop }] });
    return [h("p", { class: "good" }, told.is_new ? `Kept in ${told.shop} as of ${told.date}; this job goes by it from now on.` : `${told.shop} says so already.`),
      h("pre", {}, told.lines.join("\n"))];
  };
  return section(`Readings of ${file.split("/")[0]}`, fields, asked, doing("Work out what bit and machine do", read(false), { class: "main" }));
}
