// What set do I have, and how should a joint feel: the sizes of a bought set by caliper, and the cross-section.

function kindFiles(kind) {
  return desk.files.filter((file) => file.kind === kind).map((file) => file.name);
}

function setView() {
  const file = kindFiles("bought")[0];
  const intro = h("p", {}, "New track should go with the track on the floor. If there is some, measure a few pieces of it; ",
    "if not, leave this out: the usual sizes are taken.");
  const begin = doing("We have a set: measure it", async () => {
    const { text } = await ask("begin", { kind: "bought" });
    const told = await save({ how: "new", file: "bought.toml", text });
    return told.ok ? undefined : refusal(told.refused ?? [{ sentence: told.conflict }]);
  });
  return [
    h("h2", {}, "What set do I have?"), intro,
    file ? boughtFields(file) : begin,
    section("The track's cross-section",
      tableFields("track", ["width", "thickness", "groove_outer", "groove_inner", "groove_depth", "floor_height"])),
    folded("Ends of grooves, wheels and joints",
      tableFields("track", ["flare_length", "flare_extra"]), h("h4", {}, "Wheels"), tableFields("wheel", ["thickness", "diameter", "wheelbase"]),
      h("h4", {}, "Peg and socket"), tableFields("joint", Object.keys(desk.keys.job.joint))),
  ];
}

/** The sizes of a bought set beside the drawing that shows where the caliper goes; the file may be filled in anywhere. */
function boughtFields(file) {
  const drawn = h("figure", { class: "wide" });
  const fields = h("div", { class: "fields" });
  const out = h("div", {});
  let built = "";
  onLook(async () => {
    const told = await askNow("bought", { file, job: desk.looked.may_be_cut ? desk.job : "" });
    if (!told) return undefined;
    if (told.refused) return out.replaceChildren(refusal(told.refused));
    desk.others[file] = { data: told.data };
    desk.bought = told;
    if (built !== file) {
      built = file;
      drawn.replaceChildren(drawing(told.svg, "Where the caliper goes on a bought piece, by letter"));
      fields.replaceChildren(...told.sizes.map((size) => field({
        file, path: [size.name], label: `${size.letter}: ${words(size.name)}`,
        key: { name: size.name, kind: "lengths", meaning: `${words(size.words)}. In mm, one reading a piece, commas between.`, unsaid: "", choices: [] },
      })));
    }
    const faults = told.faults.map((one) => one.sentence);
    out.replaceChildren(...(faults.length ? [lines(faults)] : []), ...(told.lines.length ? [h("h4", {}, "What it comes to"), lines(told.lines)] : []),
      ...(told.mate ? [matePart(told.mate)] : []));
    return undefined;
  });
  return section("A bought piece by caliper", drawn, fields, out);
}

function matePart(mate) {
  const is = desk.looked.data?.mate;
  if (is && Object.entries(mate).every(([key, value]) => is[key] === value)) {
    return h("p", { class: "good" }, "Joints are drawn to go with this set.");
  }
  return doing("Draw our joints to go with this set", async () => {
    const edits = Object.entries(mate).map(([key, value]) => ({ path: ["mate", key], old: is?.[key], new: value }));
    const told = await save({ file: desk.job, edits });
    return told.ok ? undefined : refusal(told.refused ?? [{ sentence: told.conflict }]);
  });
}

// The bit in the collet, and the machine it turns in.

function bitView() {
  const bits = desk.lists.bits;
  const own = (desk.looked.data?.bit ?? []).map((one) => one.id).filter((id) => id && !bits.some((bit) => bit.id === id));
  const known = [...bits, ...own.map((id) => ({ id, words: "your own" }))];
  const roles = Object.fromEntries(Object.keys(desk.keys.job.bits).map((role) => [role, known]));
  return [
    h("h2", {}, "Bit in the collet, and the machine"),
    section("Wood", tableFields("job", ["material"], { choices: { material: desk.lists.woods } }),
      ownFile("woods", "A wood that is not listed", "It goes by its side hardness: feeds follow from that, to be tried in scrap.",
        (file) => entries({ file, path: ["wood"], add: "One more wood", fresh: () => ({ id: "my-wood", title: "my wood", hardness: "1000 lbf", group: "hardwood" }),
          named: (wood, index) => wood.title ?? wood.id ?? `wood ${index + 1}`, one: (path) => fileFields(file, "woods file", "wood", path) }))),
    section("Which bit does what", tableFields("bits", ["joints", "grooves", "outlines"], { choices: roles }),
      folded("Finishing and edges", tableFields("bits", ["finish", "edges", "groove_edges"], { choices: roles }),
        tableFields("edges", Object.keys(desk.keys.job.edges)), tableFields("cutting", Object.keys(desk.keys.job.cutting)))),
    section("Bits that I own, by caliper",
      h("p", { class: "hint" }, "A bit of the list by its id with what your caliper says, or one of your own with all its sizes. ",
        "Close the caliper's flats over the cutting edges and turn the bit: the widest reading counts."),
      ownFile("bits", "Keep my bits in a file for all my jobs", "The file lies beside the job; each job that names it knows them.", (file) => bitEntries(file, "The bits that I own")),
      desk.looked.own?.bits ? "" : bitEntries(desk.job, "For this job alone")),
    section("The machine", tableFields("job", ["machine"], { choices: { machine: desk.lists.machines } }), ownMachine()),
  ];
}

function bitEntries(file, title) {
  return [h("h4", {}, title), entries({
    file, path: ["bit"], add: "A bit by caliper", fresh: () => ({ id: desk.looked.data?.bits?.joints ?? "flat-3.175-long" }),
    named: (bit, index) => bit.id || `bit ${index + 1}`,
    one: (path) => [fileFields(file, "job", "bit", path, ["id", "measured", "kind", "diameter", "flutes", "cutting_length", "shank"]),
      folded(`More of bit ${path[1] + 1}`, fileFields(file, "job", "bit", path, ["direction", "overall", "stick_out", "upcut_length", "may_plunge", "included_angle", "corner_radius"]))],
  })];
}

function fileFields(file, kind, table, path, names = Object.keys(desk.keys[kind][table])) {
  return h("div", { class: "fields" }, names.map((name) => field({ file, path: [...path, name], key: keyOf(kind, table, name) })));
}

/** A file of one's own that the job names under `key`: what is in it, or how to begin it. */
function ownFile(key, title, hint, shown) {
  const own = desk.looked.own?.[key];
  if (own) return [h("p", { class: "hint" }, `Kept in ${own.file}.`), shown(own.file)];
  return folded(title, h("p", { class: "hint" }, hint), doing("Begin it", async () => {
    const { text } = await ask("begin", { kind: key });
    const file = `${key}.toml`;
    const made = desk.files.some((one) => one.name === file) ? { ok: true } : await save({ how: "new", file, text });
    const told = made.ok ? await save({ file: desk.job, edits: [{ path: ["job", key], new: file }] }) : made;
    if (told.ok) fetchLists();
    return told.ok ? undefined : refusal(told.refused ?? [{ sentence: told.conflict }]);
  }));
}

const MACHINE = [
  ["What it is", "profile", [], ["title", "units"]],
  ["Travel and speed along x", "axis.x", ["axis", "x"]],
  ["Travel and speed along y", "axis.x", ["axis", "y"]],
  ["Travel and speed along z", "axis.x", ["axis", "z"]],
  ["Corners", "cornering", ["cornering"]],
  ["Spindle", "spindle", ["spindle"]],
  ["How bits are changed", "bit_change", ["bit_change"]],
  ["Heights and places", "places", ["places"]],
  ["What the controller reads", "dialect", ["dialect"]],
];

/** The job's machine as a form where it is a file of this folder; else how to make it one. */
function ownMachine() {
  const { machine } = desk.looked.own ?? {};
  if (!machine) return newMachine();
  const file = machine.file;
  return h("div", {}, h("p", { class: "hint" }, `Your machine's own figures, kept in ${file}.`),
    MACHINE.map(([title, table, path, names]) => h("fieldset", {}, h("legend", {}, title), faultsAt(file, path ?? []),
      h("div", {}, fileFields(file, "machine profile", table, path, names),
      table === "spindle" ? field({ file, path: ["spindle", "dial"], label: "Dial", key: { name: "dial", kind: "dial", choices: [], unsaid: "",
        meaning: "Each mark of a hand dial and its speed, slowest first, a line each: B = 13000." } }) : ""))),
    timingPart(),
    folded("Feeds, by wood and bit", entries({
      file, path: ["feeds"], add: "Feeds for a wood and a bit",
      fresh: () => ({ material: desk.looked.data?.job?.material ?? "hard-maple", diameter: "1/8 in", spindle: 13000, feed: "1500 mm/min", plunge: "300 mm/min", stepdown: "2 mm", stepover: 0.4 }),
      named: (one, index) => `Feeds ${index + 1}: ${one.material ?? ""} ${one.bit ?? one.diameter ?? ""}`,
      one: (path) => h("div", { class: "fields" }, Object.keys(desk.keys["machine profile"].feeds).map((name) =>
        field({ file, path: [...path, name], key: keyOf("machine profile", "feeds", name), choices: name === "material" ? desk.lists.woods : [] }))),
    })));
}

/** One measured test: short moves by a stop watch say how briskly an axis starts. */
function timingPart() {
  const given = (id, label, input) => h("div", { class: "field" }, h("label", { for: id }, label), input);
  const typed = (id, value) => h("input", { id, type: "text", value, autocomplete: "off" });
  const axis = h("select", { id: "time-axis" }, ["x", "y", "z"].map((name) => h("option", { value: name }, name)));
  const feed = typed("time-feed", "3000 mm/min");
  const length = typed("time-length", "20 mm");
  const took = typed("time-took", "");
  const asked = () => ({ axis: axis.value, feed: feed.value, length: length.value });
  return folded("Measure how briskly an axis starts",
    h("p", { class: "hint" }, "Short moves there and back, up from where the bit stands: spindle off, no bit, high in the middle, zero there. Run them with a stop watch in the hand."),
    h("p", { class: "caution" }, HANDS),
    h("div", { class: "fields" }, given("time-axis", "Axis", axis), given("time-feed", "Feed", feed), given("time-length", "Length of a move", length)),
    doing("Write the moves", async () => {
      const told = await ask("timing", asked());
      if (told.refused) return refusal(told.refused);
      return [h("p", { class: "good" }, `${told.count} moves, in ${told.name}.`), button(`Save a copy of ${told.name}`, () => hand(told.text, told.name, "text/plain"))];
    }),
    h("div", { class: "fields" }, given("time-took", "Seconds that they took", took)),
    doing("What does that say?", async () => {
      const told = await ask("timing", { ...asked(), took: took.value.trim() || "none" });
      return told.refused ? refusal(told.refused) : h("p", { class: "good" }, told.words);
    }));
}

function newMachine() {
  const name = h("input", { type: "text", id: "machine-name", value: "mine", autocomplete: "off" });
  const like = h("select", { id: "machine-like" }, desk.lists.machines.map((one) => h("option", { value: one.id }, one.words.split(",")[0])),
    h("option", { value: "" }, "None: ask me everything"));
  return folded("A machine of my own",
    h("p", { class: "hint" }, "The listed machines are invented. Begin with the one most like yours, then put your own figures in its place, one by one."),
    h("div", { class: "fields" },
      h("div", { class: "field" }, h("label", { for: "machine-name" }, "Its name"), name),
      h("div", { class: "field" }, h("label", { for: "machine-like" }, "Most like"), like)),
    doing("Make it my machine", async () => {
      const id = name.value.trim();
      const begun = await ask("begin", { kind: "machine", machine: like.value });
      if (begun.refused) return refusal(begun.refused);
      const folder = desk.looked.data.job?.profiles ?? "machines";
      const made = await save({ how: "new", file: `${folder}/${id}.toml`, text: begun.text });
      if (!made.ok) return refusal(made.refused ?? [{ sentence: made.conflict }]);
      const job = desk.looked.data.job ?? {};
      const told = await save({ file: desk.job, edits: [
        { path: ["job", "profiles"], old: job.profiles, new: folder }, { path: ["job", "machine"], old: job.machine, new: id }] });
      return told.ok ? undefined : refusal(told.refused ?? [{ sentence: told.conflict }]);
    }));
}
