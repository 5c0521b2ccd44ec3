// The file's lines, only those in sight made into elements; the line of the moment and the line chosen are marked.
const ROW_HEIGHT = 21;

class CodeList {
  constructor(choose) {
    this.box = document.getElementById("code");
    this.rows = document.getElementById("code-rows");
    this.name = document.getElementById("code-name");
    this.lines = [];
    this.file = null;
    this.current = 0;
    this.chosen = 0;
    this.box.addEventListener("scroll", () => this.draw());
    this.rows.addEventListener("click", (event) => {
      const row = event.target.closest("[data-line]");
      if (row) choose(this.file, Number(row.dataset.line));
    });
    this.box.addEventListener("keydown", (event) => {
      const step = { ArrowDown: 1, ArrowUp: -1, PageDown: 10, PageUp: -10 }[event.key];
      if (!step || !this.lines.length) return;
      event.preventDefault();
      event.stopPropagation();
      choose(this.file, Math.min(Math.max((this.chosen || this.current) + step, 1), this.lines.length));
    });
  }

  open(file, text) {
    if (this.file === file) return;
    this.file = file;
    this.lines = text.replace(/\r?\n$/, "").split(/\r?\n/);
    this.name.textContent = file ? file.name : "";
    this.chosen = 0;
    this.rows.style.height = `${this.lines.length * ROW_HEIGHT}px`;
    this.draw();
  }

  mark(current, chosen, scrollTo) {
    this.current = current;
    this.chosen = chosen;
    if (scrollTo) this.reveal(scrollTo);
    this.draw();
  }

  reveal(line) {
    const at = (line - 1) * ROW_HEIGHT, high = this.box.clientHeight;
    if (at < this.box.scrollTop + ROW_HEIGHT || at > this.box.scrollTop + high - 3 * ROW_HEIGHT) {
      this.box.scrollTop = Math.max(0, at - high / 2);
    }
  }

  draw() {
    const first = Math.max(0, Math.floor(this.box.scrollTop / ROW_HEIGHT) - 4);
    const last = Math.min(this.lines.length, first + Math.ceil(this.box.clientHeight / ROW_HEIGHT) + 9);
    const made = [];
    for (let i = first; i < last; i++) {
      const row = document.createElement("div");
      row.className = "row";
      row.dataset.line = String(i + 1);
      row.setAttribute("role", "option");
      row.setAttribute("aria-selected", String(i + 1 === this.chosen));
      row.classList.toggle("current", i + 1 === this.current);
      row.classList.toggle("chosen", i + 1 === this.chosen);
      row.style.top = `${i * ROW_HEIGHT}px`;
      const number = document.createElement("b");
      number.textContent = String(i + 1);
      row.append(number, this.lines[i]);
      made.push(row);
    }
    this.rows.replaceChildren(...made);
  }
}
