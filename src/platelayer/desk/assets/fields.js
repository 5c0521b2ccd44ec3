// Fields: each is one key of one file, told by the reference of keys, saved as it is typed, its fault beside it.

const LISTS = { lengths: 1, place: 1, corners: 2 };

function at(data, path) {
  let here = data;
  for (const part of path) here = here === undefined || here === null ? undefined : here[part];
  return here;
}

/** What a file of this folder holds, as it was last told. */
function dataOf(file) {
  if (file === desk.job) return desk.looked.data;
  return desk.others[file]?.data;
}

function shownValue(value, kind) {
  if (value === undefined || value === null) return "";
  if (kind === "dial") return value.map((one) => `${one.mark} = ${one.rpm}`).join("\n");
  if (kind === "corners") return value.map((corner) => corner.join(", ")).join("\n");
  return Array.isArray(value) ? value.join(", ") : String(value);
}

function number(typed) {
  const plain = typed.trim();
  return /^-?\d+(\.\d+)?$/.test(plain) ? Number(plain) : plain;
}

function typedValue(typed, kind) {
  const plain = typed.trim();
  if (!plain) return undefined;
  if (kind === "dial") {
    return plain.split(/\n|,/).filter((row) => row.trim()).map((row) => {
      const [mark, rpm] = row.split("=");
      return { mark: mark.trim(), rpm: number(rpm ?? "") };
    });
  }
  if (LISTS[kind] === 2) return plain.split(/\n|;/).map((row) => row.split(",").map(number));
  if (LISTS[kind]) return plain.split(/[,\n]/).map(number);
  return kind === "text" || kind === "choice" ? plain : number(plain);
}

/** Sends one change; what the page shows follows at once, and goes by the disk as soon as that is told. */
async function change({ file, path, old, to, beside }) {
  const told = await save({ file, edits: [{ path, old, new: to, beside }] });
  if (told.ok) {
    const data = dataOf(file);
    const table = data && at(data, path.slice(0, -1));
    if (table && typeof path.at(-1) === "string") table[path.at(-1)] = to;
  }
  return told;
}

/** What tells an entry of a list from its neighbours. */
function besideOf(file, path) {
  const entry = typeof path.at(-2) === "number" ? at(dataOf(file), path.slice(0, -1)) : undefined;
  const names = ["name", "id", "pips"].filter((key) => key !== path.at(-1) && entry?.[key] !== undefined);
  return Object.fromEntries(names.map((key) => [key, entry[key]]));
}

let numbered = 0;

/**
 * One field. `key` is how the reference tells it: kind, meaning, unsaid, choices.
 */
function field({ file = desk.job, path, key, label = words(key.name), choices = key.choices, hint = key.meaning }) {
  numbered += 1;
  const id = `field-${numbered}`;
  const kind = key.kind;
  const isLong = kind === "corners" || kind === "dial";
  const read = () => at(dataOf(file), path);
  const shown = (value) => {
    if (kind === "flag") input.checked = value ?? key.unsaid === "true";
    else input.value = shownValue(value, kind);
  };
  const given = { id, "data-path": JSON.stringify([file, ...path]), "aria-describedby": `${id}-hint ${id}-fault` };
  let input;
  if (kind === "flag") input = h("input", { type: "checkbox", ...given });
  else if (choices?.length) {
    const left = key.unsaid && !key.isNeeded ? `(${key.unsaid})` : "(choose)";
    const known = choices.map((one) => (typeof one === "string" ? { id: one, words: "" } : one));
    input = h("select", given, h("option", { value: "" }, left), known.map((one) =>
      h("option", { value: one.id }, one.words ? `${one.id}: ${one.words}` : one.id)));
  } else if (isLong) input = h("textarea", { rows: 4, ...given });
  else input = h("input", { type: "text", autocomplete: "off", spellcheck: "false", placeholder: key.isNeeded ? "" : key.unsaid, ...given });
  const fault = h("div", { class: "fault", id: `${id}-fault` });
  let saved = read();
  let isMine = false;
  let tried;

  async function send(old) {
    const to = kind === "flag" ? input.checked : typedValue(input.value, kind);
    if (JSON.stringify(to) === JSON.stringify(old)) {
      isMine = false;
      return;
    }
    const told = await change({ file, path, old, to, beside: besideOf(file, path) });
    isMine = !told.ok;
    if (told.ok) saved = to;
    else if (told.conflict) fault.replaceChildren(...conflict(told, to));
    else fault.replaceChildren(...(told.refused ?? []).map((one) => one.sentence));
  }

  function conflict(told, to) {
    const keep = () => {
      isMine = false;
      saved = told.found;
      shown(told.found);
      fault.replaceChildren();
    };
    return [
      `Someone changed this meanwhile. In the file: ${shownValue(told.found, kind) || "nothing"}. Yours: `,
      `${shownValue(to, kind) || "nothing"}. `,
      button("Keep the file's", keep),
      button("Write mine", () => send(told.found)),
    ];
  }

  /** What was typed is sent once, however it is left: by Enter, by going on, or by choosing. */
  function commit() {
    const typed = input.type === "checkbox" ? String(input.checked) : input.value;
    if (desk.isBuilding || typed === tried) return;
    tried = typed;
    send(saved);
  }

  input.addEventListener("change", commit);
  input.addEventListener("blur", () => { if (isMine) commit(); });
  input.addEventListener("keydown", (event) => { if (event.key === "Enter" && !isLong && isMine) commit(); });
  input.addEventListener("input", () => {
    isMine = true;
    tried = undefined;
  });
  onLook(() => {
    const value = read();
    if (JSON.stringify(value) === JSON.stringify(saved) && isMine) return;
    if (document.activeElement === input && isMine) return;
    if (input.tagName === "SELECT" && value && ![...input.options].some((one) => one.value === value)) {
      input.append(h("option", { value }, value));
    }
    saved = value;
    isMine = false;
    shown(value);
    const mine = desk.faults.filter((one) => one.file === file && JSON.stringify(one.path) === JSON.stringify(path));
    fault.replaceChildren(...mine.map((one) => h("p", {}, one.problem)));
    if (mine.length) input.setAttribute("aria-invalid", "true"); else input.removeAttribute("aria-invalid");
  });
  const said = h("p", { class: "hint", id: `${id}-hint` }, hint, key.limits ? h("span", { class: "limits" }, ` Limits: ${key.limits}.`) : "");
  return h("div", { class: kind === "flag" ? "field flag" : isLong ? "field long" : "field" },
    h("label", { for: id }, label), input, fault, said);
}

/** What is wrong with something that has no field of its own. */
function faultsAt(file, path) {
  const out = h("div", { class: "fault" });
  onLook(() => {
    const mine = desk.faults.filter((one) => one.file === file && JSON.stringify(one.path) === JSON.stringify(path));
    out.replaceChildren(...mine.map((one) => h("p", {}, one.problem)));
  });
  return out;
}

/** A key as the reference tells it. */
function keyOf(file, table, name) {
  const found = desk.keys[file]?.[table]?.[name];
  return found ?? { name, kind: "text", meaning: "", unsaid: "", choices: [], limits: "" };
}

/** Fields for keys of one table of the job. */
function tableFields(table, names, { path = [table], choices = {} } = {}) {
  return h("div", { class: "fields" }, names.map((name) =>
    field({ path: [...path, name], key: keyOf("job", table, name), choices: choices[name] ?? keyOf("job", table, name).choices })));
}

/** Entries of a list of tables, each with its fields, to be taken out and added to. */
function entries({ file = desk.job, path, one, named, fresh, add, looks = "entry" }) {
  const list = at(dataOf(file), path) ?? [];
  const out = list.map((entry, index) => h("article", { class: looks, "aria-label": named(entry, index) },
    h("h4", {}, named(entry, index)), faultsAt(file, [...path, index]),
    one([...path, index], entry, index),
    h("div", {}, button(`Take out ${named(entry, index)}`, async () => {
      desk.focus = [file, ...path, Math.max(index - 1, 0)];
      const told = await change({ file, path: [...path, index], old: at(dataOf(file), [...path, index]), to: undefined, beside: {} });
      if (!told.ok) say(told.conflict ?? told.refused[0].sentence);
    }, { class: "quiet" }))));
  const more = add ? button(add, () => addEntry(file, path, fresh())) : "";
  return [faultsAt(file, path), ...out, more];
}

async function addEntry(file, path, entry) {
  const length = (at(dataOf(file), path) ?? []).length;
  desk.focus = [file, ...path, length];
  const told = await change({ file, path: [...path, length], old: undefined, to: entry, beside: {} });
  if (!told.ok) say(told.conflict ?? told.refused?.[0].sentence ?? "");
}
