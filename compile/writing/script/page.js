// What all parts of the page share: its data, its words, its elements, and asking the room.

/** @type {{token: string, nonce: string, words: Record<string, string>, kinds: string[]}} */
export const data = JSON.parse(document.getElementById("ui_write_data").textContent);

/** say gives the words of a key, with values in place of {0}, {1}. */
export function say(key, ...values) {
  return (data.words[key] ?? `[${key}]`).replace(/\{(\d)\}/g, (_, n) => String(values[n]));
}

/** element is one of the page's own; what it is, the page says.
 * @returns {any} */
export function element(id) {
  return document.getElementById(`ui_write_${id}`);
}

export function make(tag, properties = {}, ...inside) {
  const out = Object.assign(document.createElement(tag), properties);
  out.append(...inside);
  return out;
}

export function button(words, touched, className = "") {
  const out = make("button", { type: "button", className }, words);
  out.addEventListener("click", touched);
  return out;
}

/** Refused is what the room says when it does not do what is asked; problem "unheard" is a room that does not answer. */
export class Refused extends Error {
  constructor(answer) {
    super(answer.detail);
    this.problem = answer.problem;
    this.text = answer.text;
    this.sum = answer.sum;
  }
}

async function send(action, type, body, signal) {
  let heard;
  try {
    heard = await fetch(action, { method: "POST", headers: { "Content-Type": type, "Matchmark-Token": data.token }, body, signal });
  } catch (err) {
    if (signal?.aborted) throw err;
    throw new Refused({ problem: "unheard", detail: say("unheard") });
  }
  if (heard.ok) return heard;
  throw new Refused(await heard.json().catch(() => ({ problem: "unheard", detail: say("unheard") })));
}

const post = (action, asked, signal) => send(action, "application/json", JSON.stringify(asked), signal);

/** upload puts a photo into the library. */
export async function upload(file) {
  return (await send(`photo?name=${encodeURIComponent(file.name)}`, "application/octet-stream", file)).json();
}

/** ask gives the room's answer. */
export async function ask(action, asked, signal) {
  return (await post(action, asked, signal)).json();
}

/** askLines hands on each line of an answer as it comes. */
export async function askLines(action, asked, signal, line) {
  const reader = (await post(action, asked, signal)).body.getReader();
  const decoder = new TextDecoder();
  let rest = "";
  for (;;) {
    const { done, value } = await reader.read();
    rest += done ? "" : decoder.decode(value, { stream: true });
    const lines = rest.split("\n");
    rest = lines.pop();
    for (const text of lines) line(JSON.parse(text));
    if (done) return;
  }
}

/** tell shows a sentence at the top, and says it to those who do not see it. */
export function tell(words) {
  element("told").textContent = words;
}

/** problem is what to say about a refusal. */
export function problem(err) {
  return `refused.${err.problem}` in data.words ? say("refused." + err.problem, err.message) : err.message;
}

/** kept is what outlives a reload of the page in this window. */
export const kept = {
  get(key) {
    try {
      return JSON.parse(sessionStorage.getItem(key));
    } catch {
      return null;
    }
  },
  set(key, value) {
    try {
      sessionStorage.setItem(key, JSON.stringify(value));
      return true;
    } catch {
      return false; // full, or not allowed
    }
  },
  remove(key) {
    try {
      sessionStorage.removeItem(key);
    } catch {
      // not allowed, and so nothing is there
    }
  },
};

/** choose has one of some things chosen, by touch, or by typing a part of its name and Enter: null when none is. */
export function choose(title, items) {
  const box = element("choose"), field = box.querySelector("input"), list = box.querySelector("ul");
  box.querySelector("h2").textContent = title;
  return new Promise((settle) => {
    let chosen = null;
    const take = (item) => {
      chosen = item;
      box.close();
    };
    const show = () => {
      const words = field.value.toLowerCase();
      const has = (i) => `${i.label} ${i.detail} ${i.group}`.toLowerCase().includes(words);
      // Who types a whole name means that one.
      const some = [...items.filter((i) => i.label === words), ...items.filter((i) => i.label !== words && has(i))];
      let group = "";
      list.replaceChildren(...some.flatMap((item) => {
        const touched = button("", () => take(item), "write-offer");
        touched.append(make("b", {}, item.label), make("span", {}, item.detail));
        const row = make("li", {}, touched);
        if (item.group === group) return [row];
        group = item.group;
        return [make("li", { className: "write-group" }, group), row];
      }));
      if (some.length === 0) list.append(make("li", { className: "write-soft" }, say("choose.none")));
      return some;
    };
    field.value = "";
    field.oninput = show;
    box.querySelector("form").onsubmit = (event) => {
      event.preventDefault();
      const some = show();
      if (some.length > 0) take(some[0]);
    };
    box.onclose = () => settle(chosen);
    show();
    box.showModal();
    field.focus();
  });
}
