// The page to write in: files and outline on the left, the text with its to-do list in the middle, the preview on the right.
import { ask, askLines, button, choose, data, element, make, problem, say, tell } from "./page.js";
import { before, keeper } from "./keep.js";
import { insert, writer } from "./editor.js";
import { edit as editGrid } from "./grid.js";
import { mark, pictures, take } from "./photo.js";
import { moved } from "./steps.js";
import { earlier } from "./versions.js";

const frame = element("frame");
let files = [];
let now = null; // the file that is written in: {name, editor, keep, views, symbols, messages}

// Files.

let asked = 0, answered = 0; // the last question for the list, and the last one with an answer: one that comes behind a later one's is old
let listed = ""; // what stands in the list

/** list shows the files, anew only where one has come, gone or another title: a button that goes while it is touched does nothing. */
async function list() {
  const question = ++asked;
  const all = await ask("list", {});
  if (question < answered) return;
  answered = question;
  files = all;
  if (listed !== JSON.stringify(files)) showFiles();
  for (const touched of element("files").querySelectorAll(".write-file")) {
    if (touched.dataset.file === now?.name) touched.setAttribute("aria-current", "true");
    else touched.removeAttribute("aria-current");
  }
}

function showFiles() {
  listed = JSON.stringify(files);
  const at = element("files");
  at.replaceChildren();
  for (const kind of [...data.kinds, ""]) {
    const some = files.filter((f) => (data.kinds.includes(f.kind) ? f.kind : "") === kind);
    if (some.length === 0) continue;
    const items = some.map((f) => {
      const touched = button("", () => open(f.name), "write-file");
      touched.append(make("span", {}, f.title || f.name), make("small", {}, f.title ? f.name : ""));
      touched.dataset.file = f.name;
      return make("li", {}, touched);
    });
    at.append(make("h3", {}, say("kind." + (kind || "other"))), make("ul", {}, ...items));
  }
}

let opening = 0; // how often a file was opened: the last one that is touched is the one that opens

async function open(name, place) {
  const turn = ++opening;
  if (now?.name === name) {
    if (place) now.editor.goTo(place.from, place.to);
    return;
  }
  let opened;
  try {
    opened = await ask("open", { file: name });
  } catch (err) {
    return tell(problem(err));
  }
  if (turn !== opening) return;
  // Only now: what has ended is not saved any more, and must not stay on the page.
  if (now && !(await now.keep.end()) && !window.confirm(say("leave", now.name))) return;
  now?.editor.close();
  now = null;
  element("conflict").hidden = true;
  const held = before(name);
  // What this window had and could not save comes back; what the disk says since then is joined with it.
  const lost = held && held.text !== held.base;
  const text = lost ? held.text : opened.text;
  const file = { name, views: opened.views, symbols: [], messages: [] };
  file.editor = writer(element("text"), name, text, held?.text === text ? held.state : null, {
    changed: () => {
      file.keep?.changed();
      checkSoon();
    },
    moved: follow, rename, goTo: goToName, tidy, next: nextProblem, dropped: (files) => photo(files).catch((err) => tell(problem(err))),
  });
  const from = lost ? { text: held.base, sum: held.sum } : opened;
  file.keep = keeper(name, from, file.editor.text, file.editor.show, file.editor.state, refresh);
  now = file;
  history.replaceState(null, "", `#${encodeURIComponent(name)}`);
  document.title = say("title", name);
  element("name").textContent = name;
  element("work").hidden = false;
  if (lost) await file.keep.look();
  file.keep.changed();
  if (place) file.editor.goTo(place.from, place.to);
  else file.editor.view.focus();
  preview();
  check();
  list().catch(() => {});
}

// What is wrong.

let checkTimer = 0, checking = null;

/** stale says of the list of what to do that it is about an earlier text. */
function stale(is) {
  element("todo").setAttribute("aria-busy", String(is));
}

function checkSoon() {
  stale(true);
  checking?.abort();
  clearTimeout(checkTimer);
  checkTimer = setTimeout(check, 250);
}

async function check() {
  clearTimeout(checkTimer);
  const file = now;
  if (!file) return;
  checking?.abort();
  const run = checking = new AbortController();
  stale(true);
  const text = file.editor.text();
  let whole = false;
  try {
    ask("outline", { file: file.name, text }, run.signal).then((symbols) => outlined(file, symbols, text)).catch(() => {});
    await askLines("check", { file: file.name, text }, run.signal, (found) => {
      if (now !== file || file.editor.text() !== text) return;
      whole = found.whole;
      for (const m of found.messages) for (const fix of m.fixes ?? []) fix.text = text;
      file.messages = whole ? found.messages : [...found.messages, ...file.messages.filter((m) => m.file !== file.name)];
      file.editor.mark(file.messages.filter((m) => m.file === file.name), put);
      showMessages();
      stale(!whole);
    });
  } catch (err) {
    if (!run.signal.aborted) tell(problem(err));
    if (err.problem === "unheard") checkTimer = setTimeout(check, 2000);
    return;
  }
  // A question came between: the check is asked for again.
  if (!whole && now === file && !run.signal.aborted) checkTimer = setTimeout(check, 200);
}

const orders = ["error", "warning", "advice", "not checked"];

function showMessages() {
  const all = now.messages.map((m, i) => ({ m, i })).sort((a, b) =>
    orders.indexOf(a.m.severity) - orders.indexOf(b.m.severity) || Number(b.m.file === now.name) - Number(a.m.file === now.name) || a.i - b.i).map((x) => x.m);
  const errors = all.filter((m) => m.severity === "error").length;
  element("count").textContent = all.length === 0 ? say("todo.none") : errors > 0 ? say("todo.errors", errors, all.length) : say("todo.rest", all.length);
  element("todo").replaceChildren(...all.slice(0, 200).map((m) => {
    const place = button("", () => open(m.file, m), "write-place");
    place.append(make("b", {}, m.do || m.says), make("span", {}, m.do ? m.says : ""), make("small", {}, `${m.file}:${m.line}`));
    const item = make("li", { className: `write-item write-${m.severity.replace(" ", "-")}` }, make("span", { className: "write-severity" }, say("severity." + m.severity.replace(" ", "-"))), place);
    const fixes = (m.fixes ?? []).map((fix) => button(fix.title, () => put(fix), fix.sure ? "main" : ""));
    if (fixes.length > 0) item.append(make("div", { className: "write-fixes" }, ...fixes));
    return item;
  }));
  showFaults();
}

function nextProblem() {
  const own = now.messages.filter((m) => m.file === now.name).sort((a, b) => a.from - b.from);
  const next = own.find((m) => m.from > now.editor.at()) ?? own[0];
  if (next) {
    now.editor.goTo(next.from, next.to);
    tell(next.says);
  }
}

/** put makes changes: in the file that is open by the editor, in others on disk. */
async function put(fix) {
  const own = fix.edits.find((e) => e.file === now.name);
  // Its places are those of the text that was looked at.
  if (own && now.editor.text() !== fix.text) {
    tell(say("late"));
    return check();
  }
  try {
    for (const { file, sum, changes } of fix.edits) {
      if (file !== now.name) await ask("change", { file, sum, changes });
    }
    if (own) now.editor.edit(own.changes, fix.reason);
    else if (fix.reason) await open(fix.edits[0].file);
    check();
  } catch (err) {
    tell(problem(err));
  }
}

// Names.

const here = () => ({ file: now.name, text: now.editor.text(), at: now.editor.at() });

async function goToName() {
  try {
    const all = await ask("uses", here());
    const at = now.editor.at();
    const next = all.find((u) => !(u.file === now.name && u.from <= at && at <= u.to));
    if (next) await open(next.file, next);
    else tell(say("noname"));
  } catch (err) {
    tell(problem(err));
  }
}

async function rename() {
  const box = element("rename");
  const spot = here();
  const uses = await ask("uses", spot).catch(() => []);
  if (uses.length === 0) return tell(say("noname"));
  const own = uses.find((u) => u.file === now.name);
  const field = box.querySelector("input");
  field.value = own ? spot.text.slice(own.from, own.to) : "";
  box.querySelector("p").textContent = say("rename.uses", uses.length);
  box.querySelector("form").onsubmit = async (event) => {
    event.preventDefault();
    try {
      const edits = await ask("rename", { ...spot, name: field.value });
      box.close();
      await put({ edits, text: spot.text });
      tell(say("rename.done", field.value));
    } catch (err) {
      box.querySelector("p").textContent = problem(err);
    }
  };
  box.showModal();
  field.select();
}

async function tidy() {
  try {
    const text = now.editor.text();
    const edits = await ask("tidy", { file: now.name, text });
    if (now.editor.text() !== text) return;
    if (edits.length > 0) now.editor.edit(edits[0].changes);
    tell(edits.length > 0 ? say("tidied") : say("tidy"));
  } catch (err) {
    tell(problem(err));
  }
}

// Blocks.

function outlined(file, symbols, text) {
  file.symbols = symbols;
  file.outlined = text;
  if (now === file) showOutline();
}

/** outline brings the symbols up to date with what has just been typed: what is inserted or moved goes by their places. */
async function outline() {
  const file = now, text = file.editor.text();
  if (file.outlined !== text) outlined(file, await ask("outline", { file: file.name, text }), text);
}

/** closed is where a block ends: with its closing line, which the outline knows only as the begin of what follows. */
function closed(s) {
  const close = /\n[ \t]*:::+[ \t]*(?=\n|$)/.exec(now.editor.text().slice(s.from, s.to));
  return close ? s.from + close.index + close[0].length : s.to;
}

/** around is the innermost block of some kinds that the cursor stands in. */
const around = (...kinds) => flat(now.symbols).filter((s) => kinds.includes(s.kind) && s.from <= now.editor.at() && now.editor.at() < closed(s)).pop();

/** room is where a block goes that is inserted at the cursor: on lines of its own with an empty one around them, in no other block. */
function room() {
  const { doc } = now.editor.view.state;
  const within = around("register", "figure", "question");
  const line = doc.lineAt(within ? closed(within) : now.editor.at());
  const blank = line.text.trim() === "";
  const lead = blank ? (line.number > 1 && doc.line(line.number - 1).text.trim() !== "" ? "\n" : "") : "\n\n";
  const at = blank ? line.from : line.to;
  const next = line.number < doc.lines && doc.line(line.number + 1).text.trim() !== "";
  return { line, lead, at, to: blank ? line.to : at, tail: next ? "\n\n" : "\n" };
}

async function insertBlock() {
  await outline();
  const box = element("insert");
  const { view } = now.editor;
  const { line, lead, at, to } = room();
  const text = view.state.doc.toString();
  const offers = await ask("complete", { file: now.name, text: `${text.slice(0, at)}${lead}::: ${text.slice(line.to)}`, at: at + lead.length + 4 }).catch(() => []);
  if (offers.length === 0) return tell(say("insert.none"));
  const step = { label: say("insert.step"), means: say("insert.step.means"), text: `## \${1:${say("insert.step.title")}} {#\${2:step-name}}\n\n{time=\${3:2/3/5}}\n\n\${4:${say("insert.step.words")}}\n\n- [ ] \${}\n`, blanks: true };
  const all = /^kind: (procedure|steps)/m.test(text) ? [step, ...offers] : offers;
  box.querySelector("ul").replaceChildren(...all.map((offer) => {
    const touched = button("", () => {
      box.close();
      const own = offer === step ? offer.text : `::: ${offer.text}`;
      insert(view, { ...offer, text: `${lead}${own}\n` }, at, to);
    }, "write-offer");
    touched.append(make("b", {}, offer.label), make("span", {}, offer.means));
    return make("li", {}, touched);
  }));
  box.showModal();
}

// Photos, registers, names, earlier versions.

const about = () => ({ file: now.name, text: now.editor.text() });

/** photo makes a figure of a photo, or puts balloons on the figure that the cursor is in. */
async function photo(files = []) {
  await outline();
  const symbol = files.length === 0 && around("figure");
  const block = symbol ? now.editor.text().slice(symbol.from, closed(symbol)) : "";
  const source = /\bsrc=("?)([^"\s}]+)/.exec(block)?.[2];
  if (!source) {
    return take(about, (words) => {
      const { lead, at, to, tail } = room();
      insert(now.editor.view, { text: lead + words + tail }, at, to);
    }, files);
  }
  const describe = /\bdescribe="([^"]*)"/.exec(block)?.[1] ?? "";
  return mark(about, source, describe, (lines, words) => {
    const close = symbol.from + block.lastIndexOf("\n:::") + 1;
    const brace = symbol.from + block.indexOf("}");
    const changes = [{ from: close, to: close, text: lines }];
    if (describe === "" && words) changes.unshift({ from: brace, to: brace, text: ` describe="${words}"` });
    now.editor.edit(changes);
  });
}

async function grid() {
  await outline();
  const symbols = flat(now.symbols).filter((s) => s.kind === "register");
  let within = around("register");
  if (!within) {
    if (symbols.length === 0) return tell(say("refused.noregister"));
    const chosen = await choose(say("grid.which"), symbols.map((s) => ({ label: s.name || s.id, detail: "", group: "", symbol: s })));
    if (!chosen) return;
    within = chosen.symbol;
  }
  const text = now.editor.text();
  try {
    await editGrid({ file: now.name, text, at: within.from }, (edits) => put({ edits, text }));
  } catch (err) {
    tell(problem(err));
  }
}

/** pick writes a name of the machine's lists at the cursor, as it is written there. */
async function pick() {
  await outline();
  const all = await ask("things", about()).catch(() => []);
  const steps = flat(now.symbols).filter((s) => s.kind === "step" && s.id);
  const items = [
    ...all.map((t) => ({ label: t.id, detail: t.name, group: say("register." + t.register) })),
    ...steps.map((s) => ({ label: s.id, detail: s.name, group: say("pick.steps") })),
  ];
  if (items.length === 0) return tell(say("pick.none"));
  const chosen = await choose(say("pick.title"), items);
  if (!chosen) return now.editor.view.focus();
  const { view } = now.editor;
  const { from, to } = view.state.selection.main;
  const line = view.state.doc.lineAt(from);
  const before = line.text.slice(0, from - line.from);
  const inWords = !/^\s*([-*+] \[.?\]|\||- |[a-z-]+:)|\{[^}]*$|`[^`]*$/.test(before);
  // In a task several names stand with commas.
  const behind = /^\s*[-*+] \[.?\] [a-z]+ .*[\w-]$/.test(before) ? ", " : /[\w,]$/.test(before) ? " " : "";
  insert(view, { text: inWords ? `${behind}\`${chosen.label}\`` : behind + chosen.label }, from, to);
}

function versions() {
  earlier(now.name, (text) => {
    now.editor.show(text); // what is there now is one step back
    tell(say("versions.back"));
    now.editor.view.focus();
  }).catch((err) => tell(problem(err)));
}

/** drop takes the file away. Its text stays on the page, to be written again, until another file is opened. */
async function drop() {
  await now.keep.drop();
  await list();
}

// Steps in another order.

const steps = () => flat(now.symbols).filter((s) => s.kind === "step");

/** reorder moves a step in front of another one, or behind the last for null; the check says what that does to the order. */
function reorder(step, before) {
  const changes = moved(now.editor.text(), steps(), step, before);
  if (changes.length === 0) return;
  now.editor.edit(changes);
  tell(say("moved", step.name));
  check();
}

async function shift(by) {
  await outline();
  const all = steps();
  const i = all.findIndex((s) => s.from <= now.editor.at() && now.editor.at() <= s.to && (now.editor.at() < s.to || s === all[all.length - 1]));
  if (i < 0) return tell(say("moved.none"));
  if (i + by < 0 || i + by >= all.length) return tell(say("moved.end"));
  return reorder(all[i], by < 0 ? all[i - 1] : all[i + 2] ?? null);
}

// A new file.

async function newFile() {
  const box = element("new");
  const [kind, title, of] = ["kind", "file_title", "of"].map(element);
  const choices = () => {
    const about = { procedure: "machine", quiz: "procedure", course: "procedure" }[kind.value];
    of.replaceChildren(make("option", { value: "" }, say("new.none")), ...files.filter((f) => f.kind === about).map((f) => make("option", { value: f.id }, f.title || f.name)));
    of.closest("p").hidden = !about;
    if (of.options.length > 1) of.selectedIndex = 1;
  };
  kind.onchange = choices;
  choices();
  let making = false; // a key that is pressed twice begins one file
  box.querySelector("form").onsubmit = async (event) => {
    event.preventDefault();
    if (making) return;
    making = true;
    try {
      const made = await ask("create", { kind: kind.value, title: title.value, of: of.closest("p").hidden ? "" : of.value });
      box.close();
      title.value = "";
      await open(made.name);
      now.editor.goTo(now.editor.text().length);
    } catch (err) {
      element("new_told").textContent = problem(err);
    }
    making = false;
  };
  element("new_told").textContent = "";
  box.showModal();
  title.focus();
}

// Outline and preview.

let dragged = null; // a step

function showOutline() {
  const items = (all) => all.map((s) => {
    const touched = button(s.name || s.id || "…", () => now.editor.goTo(s.from), "write-symbol");
    const item = make("li", { className: `write-of-${s.kind}` }, touched);
    if (s.kind === "step") draggable(item, touched, s);
    if (s.below.length > 0) item.append(make("ul", {}, ...items(s.below)));
    return item;
  });
  const focused = [...element("outline").querySelectorAll("button")].indexOf(/** @type {HTMLButtonElement} */ (document.activeElement));
  element("outline").replaceChildren(...items(now.symbols));
  element("outline_none").hidden = now.symbols.length > 0;
  element("outline_move").hidden = steps().length < 2;
  if (focused >= 0) element("outline").querySelectorAll("button")[focused]?.focus();
  showFaults();
}

/** draggable lets a step be dragged to where another one stands, or moved by Alt and the arrows. */
function draggable(item, touched, s) {
  touched.setAttribute("aria-keyshortcuts", "Alt+ArrowUp Alt+ArrowDown");
  touched.addEventListener("keydown", (event) => {
    if (!event.altKey || event.key !== "ArrowUp" && event.key !== "ArrowDown") return;
    event.preventDefault();
    const all = steps(), i = all.indexOf(s), up = event.key === "ArrowUp";
    if (up ? i > 0 : i < all.length - 1) reorder(s, up ? all[i - 1] : all[i + 2] ?? null);
    touched.focus();
  });
  item.draggable = true;
  item.addEventListener("dragstart", (event) => {
    dragged = s;
    event.dataTransfer.effectAllowed = "move";
    event.dataTransfer.setData("text/plain", s.name);
    event.stopPropagation();
  });
  item.addEventListener("dragend", () => (dragged = null));
  item.addEventListener("dragover", (event) => {
    if (!dragged) return;
    event.preventDefault();
    event.stopPropagation();
    item.classList.add("write-over");
  });
  item.addEventListener("dragleave", () => item.classList.remove("write-over"));
  item.addEventListener("drop", (event) => {
    if (!dragged) return;
    event.preventDefault();
    event.stopPropagation();
    item.classList.remove("write-over");
    const box = touched.getBoundingClientRect(), all = steps();
    const before = event.clientY < box.top + box.height / 2 ? s : all[all.indexOf(s) + 1] ?? null;
    if (before !== dragged) reorder(dragged, before);
  });
}

/** showFaults marks the steps of the outline in which something is wrong. */
function showFaults() {
  const errors = now.messages.filter((m) => m.file === now.name && m.severity === "error");
  const all = flat(now.symbols);
  element("outline").querySelectorAll(".write-symbol").forEach((at, i) => {
    const s = all[i];
    const count = s ? errors.filter((m) => s.from <= m.from && m.from < s.to).length : 0;
    at.classList.toggle("write-faulty", count > 0);
    at.ariaDescription = count > 0 ? say("outline.errors", count) : "";
  });
}

/** flat lists all symbols that have a name. */
const flat = (all) => all.flatMap((s) => [s, ...flat(s.below)]);

let shown = "", view = "page";

/** preview shows the page of the file, or the one with the order or the loads where that is chosen and the file has it. */
function preview() {
  const { views } = now, page = views[view] || views.page;
  element("views").hidden = !views.order && !views.loads;
  for (const name of Object.keys(views)) {
    const at = element(`view_${name}`);
    at.hidden = !views[name];
    at.setAttribute("aria-pressed", String(views[name] === page));
  }
  element("nopage").hidden = page !== "";
  frame.hidden = page === "";
  if (page === "" || page === shown) return;
  shown = page;
  frame.src = `/${page}`;
}

function see(name) {
  view = name;
  preview();
}

/** boxes are those of the order's drawing, each with the name of its step. */
const boxes = () => [...frame.contentDocument?.querySelectorAll(".order-drawing a") ?? []].map((box) => ({ box, id: box.getAttribute("href").replace(/^.*#/, "") }));

let followTimer = 0;

/** follow brings what the cursor stands in into the preview. */
function follow() {
  clearTimeout(followTimer);
  followTimer = setTimeout(() => {
    // Only a page of the site: an address with nothing but a fragment would be taken for one of this page.
    if (!now || shown === "" || frame.contentWindow.location.pathname !== `/${shown}`) return;
    const at = now.editor.at();
    const over = flat(now.symbols).filter((s) => s.id && s.from <= at && at <= s.to);
    const step = over.findLast((s) => s.kind === "step");
    for (const { box, id } of boxes()) box.classList.toggle("write-here", id === step?.id);
    const target = over.map((s) => s.id).reverse().find((id) => frame.contentDocument?.getElementById(id));
    if (target && frame.contentWindow.location.hash !== `#${target}`) frame.contentWindow.location.replace(`/${shown}#${target}`);
  }, 300);
}

/** enter has a click in the preview lead to the line, and hides there what this page shows itself. */
function enter() {
  const inside = frame.contentDocument;
  if (!inside?.body) return;
  const style = new frame.contentWindow.CSSStyleSheet();
  style.replaceSync(".preview-panel { display: none } .write-here rect { stroke-width: 4 }");
  inside.adoptedStyleSheets = [...inside.adoptedStyleSheets, style];
  if (view === "order") inside.querySelector(".order")?.scrollIntoView();
  inside.addEventListener("click", (event) => {
    const touched = boxes().find(({ box }) => box.contains(event.target));
    const step = now && touched && steps().find((s) => s.id === touched.id);
    if (step) {
      event.preventDefault();
      return now.editor.goTo(step.from, undefined, false);
    }
    if (!now || event.target.closest("a, button, input, select, textarea, label, summary, dialog")) return;
    const named = flat(now.symbols).filter((s) => s.id);
    for (let at = event.target; at && at.closest; at = at.parentElement) {
      const found = named.find((s) => s.id === at.id || s.id === at.dataset?.figure);
      if (found) return now.editor.goTo(line(found, event.target), undefined, false);
    }
  });
  follow();
}

/** line is the place of the words that were clicked on, within what they belong to. */
function line(symbol, clicked) {
  const words = clicked.textContent.trim().split("\n")[0].slice(0, 40);
  const at = words.length > 3 ? now.editor.text().indexOf(words, symbol.from) : -1;
  return at >= 0 && at < symbol.to ? at : symbol.from;
}

/** refresh asks for the page of the file anew after it was saved: its name may be another one. */
function refresh() {
  checkSoon();
}

// The page as a whole.

function toggle(id, shown) {
  const at = element(`${id}_toggle`);
  const show = (on) => {
    at.setAttribute("aria-pressed", String(on));
    document.body.classList.toggle(`write-no-${id}`, !on);
  };
  at.addEventListener("click", () => show(at.getAttribute("aria-pressed") !== "true"));
  show(shown);
}

toggle("side", innerWidth >= 1100);
toggle("preview", true);
frame.addEventListener("load", enter);
const actions = {
  new_open: newFile, insert_open: insertBlock, tidy_open: tidy, rename_open: rename, next_open: nextProblem, photo_open: () => photo(), grid_open: grid,
  pick_open: pick, versions_open: versions, drop_open: drop, view_page: () => see("page"), view_order: () => see("order"), view_loads: () => see("loads"), step_up: () => shift(-1), step_down: () => shift(1),
};
Object.entries(actions).forEach(([id, act]) => element(id).addEventListener("click", async () => {
  try {
    if (now || id === "new_open") await act();
  } catch (err) {
    tell(problem(err));
  }
}));
for (const box of document.querySelectorAll("dialog")) {
  box.querySelector(".write-close").addEventListener("click", () => box.close());
}

// A photo may be dropped anywhere; nothing that is dropped is opened instead of the page.
document.addEventListener("dragover", (event) => event.dataTransfer.types.includes("Files") && event.preventDefault());
document.addEventListener("drop", (event) => {
  if (!event.dataTransfer.types.includes("Files")) return;
  event.preventDefault();
  const some = pictures(event.dataTransfer);
  if (some.length === 0) tell(say("photo.nopicture"));
  else if (now) photo(some).catch((err) => tell(problem(err)));
});

const events = new EventSource("/.preview/events");
events.addEventListener("message", async () => {
  list().catch(() => {});
  if (!now) return;
  now.keep.look();
  const file = now;
  const opened = await ask("open", { file: file.name }).catch(() => null);
  if (opened && now === file) {
    now.views = opened.views;
    preview();
  }
  checkSoon();
});
["focus", "visibilitychange", "online"].forEach((name) => window.addEventListener(name, () => now?.keep.look()));
window.addEventListener("beforeunload", (event) => {
  if (!now?.keep.unsaved()) return;
  now.keep.draft();
  event.preventDefault();
});

list().then(() => {
  const wanted = decodeURIComponent(location.hash.slice(1));
  const first = files.find((f) => f.name === wanted) ?? files.find((f) => f.kind === "procedure") ?? files[0];
  if (first) open(first.name);
}).catch((err) => tell(problem(err)));
