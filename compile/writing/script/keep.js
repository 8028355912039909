// Nothing is lost: each change is on disk within a second, or a sign on the page says that it is not. Somebody else's changes
// are joined with those on the page where the two touch no line of each other; else both stay until the author has chosen.
import { ask, button, element, kept, make, problem, say, tell } from "./page.js";
import { merged } from "./merge.js";

const pause = 400; // ms without a key, after which is saved
const longest = 800; // ms until a change is saved at the latest
const again = 2000; // ms until a save that failed is tried again

/** A keeper holds one file. text() is what the page has; show(text) puts another text there, with undo. */
export function keeper(name, opened, text, show, history, onSaved) {
  let base = opened.text; // what the disk had when the page saw it last
  let sum = opened.sum;
  let timer = 0, first = 0, saving = null, ended = false, theirs = null;

  const unsaved = () => text() !== base;

  function sign(state, words) {
    const at = element("saved");
    at.dataset.state = state;
    if (at.textContent !== words) at.textContent = words;
  }

  function draft() {
    // What survives a reload: the text, what it was made of, and the steps back.
    kept.set(`write:${name}`, { base, sum, text: text(), state: history() }) || kept.set(`write:${name}`, { base, sum, text: text() }) || kept.remove(`write:${name}`);
  }

  function later(ms) {
    clearTimeout(timer);
    timer = setTimeout(save, ms);
  }

  function changed() {
    if (!unsaved() && !saving) return settled();
    const now = Date.now();
    first ||= now;
    if (!theirs) sign("waits", say("saving"));
    later(Math.max(0, Math.min(pause, first + longest - now)));
  }

  function settled() {
    first = 0;
    sign("saved", say("saved"));
    draft();
  }

  async function save() {
    if (saving) return saving;
    if (ended || theirs) return draft();
    if (!unsaved()) return settled();
    draft();
    const sent = text();
    saving = ask("save", { file: name, text: sent, sum });
    try {
      const answer = await saving;
      sum = answer.sum;
      if (answer.unkept) tell(say("unkept", answer.unkept));
      base = sent;
      saving = null;
      first = 0;
      onSaved();
      if (unsaved()) changed(); else settled();
    } catch (err) {
      saving = null;
      if (err.problem === "changed") return reconcile(err.text, err.sum);
      sign("unsaved", say("unsaved", problem(err)));
      draft();
      if (err.problem === "gone") offerAgain(); else later(again);
    }
  }

  /** reconcile takes what somebody else wrote into account. */
  function reconcile(now, nowSum) {
    if (now === base) {
      sum = nowSum;
      return;
    }
    const both = merged(base, text(), now);
    if (both === null) return choose(now, nowSum);
    close();
    base = now;
    sum = nowSum;
    if (both !== text()) show(both);
    tell(both === now ? say("taken") : say("joined"));
    changed();
    onSaved();
  }

  /** choose asks which of two texts counts; nothing is written until then, and both stay. */
  function choose(now, nowSum) {
    theirs = { now, nowSum };
    draft();
    const mine = text();
    sign("unsaved", say("conflict.sign"));
    const box = element("conflict");
    const settle = (use) => {
      base = now;
      sum = nowSum;
      close();
      // The other text is one step back, and among the versions.
      ask("keep", { file: name, text: use === null ? now : mine }).catch(() => {});
      if (use !== null) show(use);
      changed();
    };
    const see = make("pre", { className: "write-theirs", tabIndex: 0, ariaLabel: say("conflict.theirs") }, now);
    box.replaceChildren(
      make("p", {}, say("conflict", name)),
      make("div", { className: "write-choice" }, button(say("conflict.mine"), () => settle(null)), button(say("conflict.other"), () => settle(now))),
      make("details", {}, make("summary", {}, say("conflict.theirs")), see),
    );
    box.hidden = false;
  }

  function offerAgain() {
    const box = element("conflict");
    theirs = { gone: true };
    box.replaceChildren(make("p", {}, say("gone", name)), make("div", { className: "write-choice" }, button(say("gone.again"), async () => {
      try {
        ({ sum } = await ask("restore", { file: name, text: text() }));
        base = text();
        close();
        settled();
      } catch (err) {
        tell(problem(err));
      }
    })));
    box.hidden = false;
  }

  function close() {
    theirs = null;
    element("conflict").hidden = true;
    element("conflict").replaceChildren();
  }

  /** look asks whether somebody else has written. */
  async function look() {
    if (saving || ended) return;
    try {
      const now = await ask("open", { file: name });
      if (saving || ended || now.sum === sum) return;
      if (theirs && theirs.nowSum === now.sum) return;
      reconcile(now.text, now.sum);
    } catch (err) {
      if (err.problem === "gone" && !ended) offerAgain();
    }
  }

  return {
    changed, look, unsaved, draft,
    sum: () => sum,
    /** drop takes the file away, with what was typed last among its versions. */
    async drop() {
      await save();
      await ask("remove", { file: name, sum });
      offerAgain();
    },
    /** end saves what is left; false when something stays unsaved. */
    async end() {
      clearTimeout(timer);
      if (saving) await saving.catch(() => {});
      await save();
      if (unsaved()) return false;
      ended = true;
      close();
      return true;
    },
  };
}

/** before gives what this window had of a file before a reload; null for nothing. */
export function before(name) {
  return kept.get(`write:${name}`);
}
