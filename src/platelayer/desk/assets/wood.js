// The board and what stands in the way on it; the pieces, chosen from drawings.

function boardView() {
  return [
    h("h2", {}, "The board"),
    h("p", {}, "Counted from its near left corner: width along x, height away from you. A plain number is in the job's unit."),
    section("Unit and layout", tableFields("job", ["units", "placing"])),
    entries({
      path: ["board"], add: "One more board", fresh: () => ({ width: "24 in", height: "6 in", thickness: "1/2 in" }),
      named: (board, index) => `Board ${board.id ?? String.fromCharCode(65 + index)}`,
      one: (path) => [
        tableFields("board", ["width", "height", "thickness", "thickness_measured", "scatter", "count", "zero", "grain", "margin"], { path }),
        folded(`Offcut, strip or name of board ${path[1] + 1}`, tableFields("board", ["id", "kind", "outline", "height_measured"], { path })),
        h("h4", {}, "Knots, screws and clamps on it"),
        entries({
          path: [...path, "no_go"], add: "A place the bit keeps out of", fresh: () => ({ title: "knot", x: "2 in", y: "2 in", diameter: "1 in" }),
          named: (area, index) => `${area.title || "place"} ${index + 1}`,
          one: (inner) => tableFields("board.no_go", ["title", "x", "y", "width", "height", "diameter", "rise", "outline"], { path: inner }),
        }),
      ],
    }),
    section("How the board and the pieces are held", tableFields("holding", ["stock", "kind"]),
      folded("Tabs, screws and skin", tableFields("holding", Object.keys(desk.keys.job.holding).slice(1).filter((key) => key !== "kind"))),
      folded("Turning the board over", tableFields("turning", Object.keys(desk.keys.job.turning)))),
  ];
}

function piecesView() {
  const sums = h("p", { class: "sums" });
  onLook(() => {
    const all = desk.looked.sums;
    sums.textContent = all ? `${all.pieces} ${all.pieces === 1 ? "piece" : "pieces"}, ${all.length} of track, on ${all.boards} ${all.boards === 1 ? "board" : "boards"}; they are ${all.wood} of the wood.` : "";
  });
  return [
    h("h2", {}, "Pieces"),
    h("p", {}, "Choose a kind to add one. Sizes as a woodworker writes them: 5 15/16, or 151 mm."),
    h("ul", { class: "kinds", "aria-label": "Kinds of piece" }, desk.lists.kinds.map((kind) => h("li", {},
      h("button", { type: "button", class: "kind", "aria-label": `Add a ${kind.name}: ${kind.summary}`, onclick: () => addPiece(kind) },
        drawing(kind.svg, kind.name), h("b", {}, words(kind.name)), h("span", {}, kind.summary))))),
    sums,
    entries({
      path: ["piece"], looks: "entry line", named: (piece, index) => piece.name ?? `${piece.kind ?? desk.lists.kinds[0].name} ${index + 1}`,
      one: (path, piece) => [pieceDrawing(path[1]), pieceFields(path, piece)],
    }),
  ];
}

function pieceDrawing(index) {
  const drawn = h("figure", { class: "piece" });
  let shown = "";
  onLook(() => {
    const names = (desk.looked.data?.piece ?? []).map((piece) => piece.name);
    const line = (desk.looked.pieces ?? []).find((one) => (names[index] ? one.name === names[index] : one.index === index));
    if (!line || line.svg === shown) return;
    shown = line.svg;
    drawn.replaceChildren(drawing(line.svg, `${line.count} of ${line.title}`), h("figcaption", {}, `${line.title}, ${line.length}`));
  });
  return drawn;
}

function kindOf(piece) {
  return desk.lists.kinds.find((kind) => kind.name === (piece?.kind ?? desk.lists.kinds[0].name)) ?? desk.lists.kinds[0];
}

function pieceFields(path, piece) {
  const kind = kindOf(piece);
  const more = ["turns", ...(kind.has_grooves ? ["grooves"] : [])];
  return [
    tableFields("piece", ["name", "count", ...kind.keys.map((key) => key.name), ...kind.ends.map((end) => end.name)], { path }),
    folded(`Grooves and turns of piece ${path[1] + 1}`, tableFields("piece", more, { path })),
  ];
}

async function addPiece(kind) {
  const taken = new Set((desk.looked.data.piece ?? []).map((piece) => piece.name));
  let name = kind.name;
  for (let count = 2; taken.has(name); count += 1) name = `${kind.name}-${count}`;
  const isInch = desk.looked.data.job?.units === "in";
  const sizes = kind.keys.filter((key) => key.is_needed).map((key) => [key.name, key.measure === "length" ? (isInch ? "6 in" : "150 mm") : key.choices[0] ?? 45]);
  const radius = sizes.map(([key, value]) => [key, key === "radius" ? (isInch ? "8 in" : "200 mm") : value]);
  await addEntry(desk.job, ["piece"], { name, ...(kind === desk.lists.kinds[0] ? {} : { kind: kind.name }), ...Object.fromEntries(radius), count: 1 });
}
