// How things are put on the paper: elements, drawings, and what is said aloud.

/** An element: attributes by name, `on…` for what it does, the rest as children. */
function h(name, given = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(given)) {
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (value === true) made.setAttribute(key, "");
    else if (value !== false && value !== undefined) made.setAttribute(key, value);
  }
  made.append(...children.flat(9).filter((child) => child !== undefined && child !== ""));
  return made;
}

/** A drawing that came as text; what is drawn has no scripts. */
function drawing(svg, name) {
  const read = new DOMParser().parseFromString(svg, "image/svg+xml").documentElement;
  if (read.nodeName !== "svg") return h("p", { class: "hint" }, "No drawing.");
  const [, , wide, high] = read.getAttribute("viewBox").split(" ").map(Number);
  read.removeAttribute("width");
  read.removeAttribute("height");
  read.setAttribute("role", "img");
  read.setAttribute("aria-label", name || read.querySelector("title")?.textContent || "Drawing");
  read.style.aspectRatio = `${wide} / ${high}`;
  return document.importNode(read, true);
}

/** Says it once to whoever listens. */
function say(sentence) {
  const said = document.getElementById("said");
  if (said.textContent !== sentence) said.textContent = sentence;
}

function words(key) {
  const plain = key.replaceAll("_", " ");
  return plain[0].toUpperCase() + plain.slice(1);
}

function button(label, does, given = {}) {
  return h("button", { type: "button", onclick: does, ...given }, label);
}

/** A button that is busy while its work lasts, and what came of it below. */
function doing(label, work, given = {}) {
  const out = h("div", { class: "outcome" });
  const press = button(label, async () => {
    press.disabled = true;
    press.setAttribute("aria-busy", "true");
    try {
      const told = await work();
      out.replaceChildren(...(told ? [told].flat() : []));
      if (told) say(out.textContent.slice(0, 300));
    } finally {
      press.disabled = false;
      press.removeAttribute("aria-busy");
    }
  }, given);
  return h("div", { class: "doing" }, press, out);
}

function refusal(faults) {
  return h("div", { class: "wrong" }, h("ul", {}, faults.map((fault) => h("li", {}, fault.sentence))));
}

/** What stands in the way is the person's own, and may be written over when they say so. */
function mayWriteOver(faults) {
  return faults.some((fault) => fault.cure === "write_over");
}

function lines(list, kind = "ul") {
  return h(kind, {}, list.map((line) => h("li", { class: line.startsWith(" ") && "under" }, line)));
}

function section(title, ...inside) {
  return h("section", {}, h("h3", {}, title), inside);
}

function folded(title, ...inside) {
  const is = `fold:${title}`;
  return h("details", { "data-fold": is, open: desk.open.has(is), ontoggle: (event) => {
    if (event.target.open) desk.open.add(is); else desk.open.delete(is);
  } }, h("summary", {}, title), inside);
}

/** Gives the person a copy of something made. */
function hand(content, name, kind) {
  const link = h("a", { href: URL.createObjectURL(new Blob([content], { type: kind })), download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}
