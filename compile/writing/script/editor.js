// The text itself: an editor that asks the room what may stand where the cursor is, what a name means and where it is used.
import { EditorState, Transaction } from "@codemirror/state";
import { EditorView, drawSelection, highlightActiveLine, hoverTooltip, keymap, lineNumbers } from "@codemirror/view";
import { defaultKeymap, history, historyField, historyKeymap } from "@codemirror/commands";
import { bracketMatching, foldGutter, foldKeymap } from "@codemirror/language";
import {
  acceptCompletion, autocompletion, closeCompletion, completionKeymap, completionStatus, moveCompletionSelection, selectedCompletionIndex, snippet,
} from "@codemirror/autocomplete";
import { lintGutter, lintKeymap, setDiagnostics } from "@codemirror/lint";
import { highlightSelectionMatches, search, searchKeymap } from "@codemirror/search";
import { ask, data, make, say } from "./page.js";
import { colours, language } from "./language.js";
import { change } from "./merge.js";
import { pictures } from "./photo.js";

/** markdown shows the little Markdown that hints are in: paragraphs, lists, bold words, code and tables. */
export function markdown(text) {
  const out = make("div", { className: "write-hint" });
  let list = null;
  for (const line of text.split("\n")) {
    const item = /^- (.*)$/.exec(line);
    if (!item) list = null;
    if (!line.trim()) continue;
    if (item && !list) out.append(list = make("ul"));
    const at = make(item ? "li" : "p");
    for (const piece of (item ? item[1] : line).split(/(\*\*[^*]+\*\*|`[^`]+`)/)) {
      if (piece.startsWith("**")) at.append(make("b", {}, piece.slice(2, -2)));
      else if (piece.startsWith("`") && piece.length > 2) at.append(make("code", {}, piece.slice(1, -1)));
      else at.append(piece);
    }
    (item ? list : out).append(at);
  }
  return out;
}

/** blanks writes an offer's places to fill in as the editor's own. */
const blanks = (text) => text.replace(/\$0/g, "${}").replace(/\\\$/g, "$");

export function insert(view, offer, from, to) {
  if (offer.blanks) {
    snippet(blanks(offer.text))(view, null, from, to);
  } else {
    view.dispatch({ changes: { from, to, insert: offer.text }, selection: { anchor: from + offer.text.length }, userEvent: "input.complete" });
  }
  view.focus();
}

/** takeOffer takes the offer that is chosen, or else the first. Enter takes none that was not chosen: to whoever writes
 * sentences it is a new line, whether or not a list happens to be open. */
function takeOffer(view) {
  if (completionStatus(view.state) !== "active") return false;
  if (selectedCompletionIndex(view.state) === null) moveCompletionSelection(true)(view);
  acceptCompletion(view);
  return true; // also when the list has only just come: Tab does not leave the text then
}

/** writer makes an editor for a file in an element. changed is called for each change, moved when the cursor is elsewhere. */
export function writer(parent, name, text, state, { changed, moved, rename, goTo, tidy, next, dropped }) {
  const asked = (at) => ({ file: name, text: view.state.doc.toString(), at });

  async function complete(context) {
    if (!context.explicit && !context.matchBefore(/[\w`:"{=#.|-]$|\] $/)) return null;
    const answer = new AbortController();
    context.addEventListener("abort", () => answer.abort(), { onDocChange: true });
    const offers = await ask("complete", asked(context.pos), answer.signal).catch(() => []);
    if (offers.length === 0) return null;
    return {
      from: offers[0].from,
      filter: false,
      options: offers.map((offer) => ({
        label: offer.label, detail: offer.detail, type: offer.kind,
        info: offer.means ? () => markdown(offer.means) : undefined,
        apply: (_, __, from, to) => insert(view, offer, from, to),
      })),
    };
  }

  const hint = hoverTooltip(async (_, pos) => {
    const found = await ask("hover", asked(pos)).catch(() => null);
    if (!found?.words) return null;
    return { pos: found.from, end: found.to, above: true, create: () => ({ dom: markdown(found.words) }) };
  }, { hideOnChange: true });

  const extensions = [
    EditorView.cspNonce.of(data.nonce),
    lineNumbers(), foldGutter(), history(), drawSelection(), bracketMatching(), highlightActiveLine(), highlightSelectionMatches(), lintGutter(),
    search({ top: true }), EditorView.lineWrapping, language, colours, hint,
    EditorState.phrases.of(Object.fromEntries(phrases.map((key) => say("phrase." + key).split(" = ")))),
    autocompletion({ override: [complete], maxRenderedOptions: 200, icons: false, selectOnOpen: false }),
    EditorView.contentAttributes.of({ tabindex: "0", "aria-label": say("editor", name), spellcheck: "true", autocapitalize: "sentences" }),
    EditorView.domEventHandlers({
      paste(event) {
        const some = pictures(event.clipboardData);
        if (some.length > 0) dropped(some);
        return some.length > 0;
      },
      drop(event, at) {
        if (!event.dataTransfer.types.includes("Files")) return false;
        const pos = at.posAtCoords({ x: event.clientX, y: event.clientY });
        if (pos !== null) at.dispatch({ selection: { anchor: pos } });
        return true; // the page takes the photo; the editor is not to read it as words
      },
    }),
    keymap.of([
      { key: "Tab", run: takeOffer },
      { key: "F2", run: () => (rename(), true) },
      { key: "F12", run: () => (goTo(), true) },
      { key: "Shift-Alt-f", run: () => (tidy(), true) },
      { key: "F8", run: () => (next(), true) },
      ...completionKeymap, ...searchKeymap, ...historyKeymap, ...foldKeymap, ...lintKeymap, ...defaultKeymap,
    ]),
    EditorView.updateListener.of((update) => {
      if (update.docChanged) changed();
      if (update.selectionSet || update.docChanged) moved(update.docChanged);
    }),
  ];
  let start = null;
  if (state) {
    try {
      start = EditorState.fromJSON(state, { extensions }, { history: historyField });
    } catch {
      start = null; // of another form: the text is there all the same
    }
  }
  if (!start || start.doc.toString() !== text) start = EditorState.create({ doc: text, extensions });
  const view = new EditorView({ parent, state: start });
  // The list below grows and shrinks; the line that is written in stays in sight.
  const sized = new ResizeObserver(() => view.hasFocus && view.dispatch({ effects: EditorView.scrollIntoView(view.state.selection.main.head) }));
  sized.observe(parent);

  return {
    view,
    text: () => view.state.doc.toString(),
    state: () => view.state.toJSON({ history: historyField }),
    at: () => view.state.selection.main.head,
    /** show puts another text there and leaves what is the same, with the cursor in it. */
    show(now) {
      const c = change(view.state.doc.toString(), now);
      view.dispatch({ changes: c, annotations: Transaction.addToHistory.of(true) });
    },
    edit(changes, select) {
      const made = view.state.changes(changes.map((c) => ({ from: c.from, to: c.to, insert: c.text })));
      view.dispatch({ changes: made, scrollIntoView: true });
      if (select) {
        const at = view.state.doc.toString().indexOf(select, Math.max(0, made.mapPos(changes[0].from, -1)));
        if (at >= 0) view.dispatch({ selection: { anchor: at, head: at + select.length } });
      }
      view.focus();
    },
    goTo(from, to = from, focus = true) {
      const end = view.state.doc.length;
      view.dispatch({
        selection: { anchor: Math.min(from, end), head: Math.min(to, end) }, effects: EditorView.scrollIntoView(Math.min(from, end), { y: "center" }),
      });
      if (focus) view.focus();
    },
    mark(messages, put) {
      const end = view.state.doc.length;
      const all = messages.map((m) => ({
        from: Math.min(m.from, end), to: Math.min(Math.max(m.to, m.from), end), severity: severities[m.severity] ?? "info", source: m.code,
        message: m.do ? `${m.says}\n${m.do}` : m.says,
        actions: (m.fixes ?? []).map((fix) => ({ name: fix.title, apply: () => put(fix) })),
      }));
      view.dispatch(setDiagnostics(view.state, all));
    },
    close() {
      sized.disconnect();
      closeCompletion(view);
      view.destroy();
    },
  };
}

const phrases = Object.keys(data.words).filter((key) => key.startsWith("phrase.")).map((key) => key.slice("phrase.".length));

const severities = { error: "error", warning: "warning", advice: "info", "not checked": "hint" };
