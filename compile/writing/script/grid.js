// A register as a grid of cells: rows are added, pasted from a spreadsheet, sorted and taken back, and written as the same
// Markdown. By keys: arrows up and down and Enter go from row to row, Alt with them moves a row, Ctrl+Z takes back.
import { ask, element, make, problem, say } from "./page.js";

const box = element("grid"), table = element("cells"), told = element("grid_told"), values = element("values");

let grid = null; // as the room has it
let rows = []; // the headings first
let at = { row: 1, column: 0 };
let past = [], future = [];
let write = null;

const copy = () => rows.map((row) => [...row]);

/** change makes a change that can be taken back. */
function change(make) {
  past.push(copy());
  future = [];
  make();
  draw();
}

function step(from, to) {
  if (from.length === 0) return;
  to.push(copy());
  rows = from.pop();
  draw();
}

/** edit shows the register at a place of a file; put gets the edits that write it. */
export async function edit(spot, put) {
  grid = await ask("grid", spot);
  rows = grid.rows.map((row) => [...row]);
  if (rows.length === 1) rows.push(blank());
  past = [];
  future = [];
  at = { row: 1, column: 0 };
  write = async () => put(await ask("grid-write", { ...spot, rows }));
  told.textContent = "";
  element("grid_title").textContent = say("grid.title", grid.title || grid.kind);
  draw();
  box.showModal();
  focus();
}

const blank = () => rows[0].map(() => "");
const column = (c) => grid.columns.find((x) => x.name === rows[0][c]);

function draw() {
  const head = make("tr", {}, ...rows[0].map((name, c) => make("th", { scope: "col", title: column(c)?.means ?? "" }, name)));
  const body = rows.slice(1).map((row, n) => make("tr", {}, ...row.map((words, c) => {
    const field = make("input", { value: words, ariaLabel: say("grid.cell", rows[0][c], n + 1), autocomplete: "off", spellcheck: false });
    field.dataset.row = String(n + 1);
    field.dataset.column = String(c);
    field.setAttribute("list", values.id);
    field.size = Math.min(Math.max(words.length, rows[0][c].length, 6), 40);
    return make("td", {}, field);
  })));
  table.replaceChildren(make("thead", {}, head), make("tbody", {}, ...body));
  const missing = grid.columns.filter((x) => !rows[0].includes(x.name));
  element("grid_column").replaceChildren(...missing.map((x) => make("option", { value: x.name, title: x.means }, x.name)));
  element("grid_column_add").disabled = missing.length === 0;
  element("grid_undo").disabled = past.length === 0;
  element("grid_redo").disabled = future.length === 0;
  element("grid_row_off").disabled = rows.length < 2;
  at.row = Math.min(Math.max(at.row, 1), rows.length - 1);
  at.column = Math.min(at.column, rows[0].length - 1);
}

const fieldAt = (row, c) => table.querySelector(`[data-row="${row}"][data-column="${c}"]`);

function focus() {
  const field = fieldAt(at.row, at.column);
  field?.focus();
  field?.select();
}

/** take puts what was typed into the cell. */
function take(field) {
  const { row, column: c } = field.dataset;
  if (rows[row][c] === field.value) return;
  past.push(copy());
  future = [];
  rows[row][c] = field.value;
  element("grid_undo").disabled = false;
  element("grid_redo").disabled = true;
}

/** cellsOf takes the cells of a spreadsheet apart: tabs between them, words with a line's end in quotation marks. */
export function cellsOf(text) {
  const out = [[""]];
  let quoted = false;
  for (let i = 0; i < text.length; i++) {
    const row = out[out.length - 1], c = text[i], last = row.length - 1;
    if (quoted) {
      if (c !== '"') row[last] += c;
      else if (text[i + 1] === '"') row[last] += text[++i];
      else quoted = false;
    } else if (c === '"' && row[last] === "") quoted = true;
    else if (c === "\t") row.push("");
    else if (c === "\n" || c === "\r") {
      if (c === "\r" && text[i + 1] === "\n") i++;
      out.push([""]);
    } else row[last] += c;
  }
  if (out.length > 1 && out[out.length - 1].join("") === "") out.pop();
  return out.map((row) => row.map((words) => words.replace(/\s+/g, " ").trim()));
}

/** paste writes cells from a cell on. Where the first row has headings, each column goes to its own. */
function paste(cells) {
  change(() => {
    const named = cells.length > 1 && cells[0].filter((w) => w !== "").length > 0 && cells[0].every((w) => w === "" || rows[0].includes(w) || grid.columns.some((x) => x.name === w));
    let into = (c) => at.column + c;
    if (named) {
      for (const name of cells[0]) {
        if (name === "" || rows[0].includes(name)) continue;
        rows[0].push(name);
        for (const row of rows.slice(1)) row.push("");
      }
      const where = cells[0].map((name) => rows[0].indexOf(name));
      into = (c) => where[c];
      cells = cells.slice(1);
    }
    let left = 0;
    for (const [n, row] of cells.entries()) {
      while (rows.length <= at.row + n) rows.push(blank());
      for (const [c, words] of row.entries()) {
        if (into(c) >= 0 && into(c) < rows[0].length) rows[at.row + n][into(c)] = words;
        else if (words !== "") left++;
      }
    }
    told.textContent = left > 0 ? say("grid.left", left) : say("grid.pasted", cells.length);
  });
  focus();
}

function sort() {
  const order = new Intl.Collator(document.documentElement.lang, { numeric: true });
  change(() => {
    const body = rows.slice(1);
    const sorted = [...body].sort((a, b) => order.compare(a[at.column], b[at.column]));
    rows = [rows[0], ...(sorted.every((row, i) => row === body[i]) ? sorted.reverse() : sorted)];
  });
  told.textContent = say("grid.sorted", rows[0][at.column]);
  focus();
}

function move(by) {
  const to = at.row + by;
  if (to < 1 || to >= rows.length) return;
  change(() => {
    [rows[at.row], rows[to]] = [rows[to], rows[at.row]];
    at.row = to;
  });
  focus();
}

function addRow() {
  change(() => {
    at = { row: at.row + 1, column: 0 };
    rows.splice(at.row, 0, blank());
  });
  focus();
}

table.addEventListener("focusin", ({ target }) => {
  at = { row: Number(target.dataset.row), column: Number(target.dataset.column) };
  offer(target);
});

/** offer lists what the cell may say; behind the last comma where it may say several. */
function offer(field) {
  const about = column(at.column);
  const before = about?.several ? field.value.slice(0, field.value.lastIndexOf(",") + 1) : "";
  values.replaceChildren(...(about?.values ?? []).map((v) => make("option", { value: before ? `${before} ${v.word}` : v.word, label: v.means ? `${v.word} – ${v.means}` : v.word })));
}

table.addEventListener("input", ({ target }) => offer(target));
table.addEventListener("change", ({ target }) => take(target));
table.addEventListener("paste", (event) => {
  const text = event.clipboardData.getData("text/plain");
  if (!/[\t\n]/.test(text.trim())) return;
  event.preventDefault();
  paste(cellsOf(text));
});
table.addEventListener("keydown", (event) => {
  const { target, key, altKey } = event;
  const control = event.ctrlKey || event.metaKey;
  if (control && key.toLowerCase() === "z") {
    if (target.value !== rows[at.row][at.column]) target.value = rows[at.row][at.column];
    else if (event.shiftKey) step(future, past);
    else step(past, future);
    focus();
  } else if (control && key === "Enter") {
    take(target);
    done();
  } else if (altKey && (key === "ArrowUp" || key === "ArrowDown")) {
    take(target);
    move(key === "ArrowUp" ? -1 : 1);
  } else if (key === "Enter" || !control && (key === "ArrowUp" || key === "ArrowDown" && !target.matches(":popover-open"))) {
    take(target);
    const to = at.row + (key === "ArrowUp" ? -1 : 1);
    if (to === rows.length && key === "Enter") addRow();
    else if (to >= 1 && to < rows.length) {
      at.row = to;
      focus();
    }
  } else return;
  event.preventDefault();
});

async function done() {
  try {
    await write();
    box.close();
  } catch (err) {
    told.textContent = problem(err);
  }
}

element("grid_row").addEventListener("click", addRow);
element("grid_row_off").addEventListener("click", () => {
  change(() => rows.splice(at.row, 1));
  focus();
});
element("grid_column_add").addEventListener("click", () => {
  change(() => {
    rows[0].push(element("grid_column").value);
    for (const row of rows.slice(1)) row.push("");
    at.column = rows[0].length - 1;
  });
  focus();
});
element("grid_sort").addEventListener("click", sort);
element("grid_undo").addEventListener("click", () => step(past, future));
element("grid_redo").addEventListener("click", () => step(future, past));
element("grid_write").addEventListener("click", done);
