// What a file was in the last week, to be got back.
import { ask, button, element, make, problem, say } from "./page.js";

const box = element("versions"), list = element("versions_list"), text = element("versions_text"), back = element("versions_back");

/** earlier shows the versions of a file; show gets the text of the one that is taken back. */
export async function earlier(name, show) {
  const all = await ask("versions", { file: name });
  const when = new Intl.DateTimeFormat(document.documentElement.lang, { weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit", second: "2-digit" });
  text.textContent = "";
  text.hidden = true;
  back.disabled = true;
  element("versions_told").textContent = all.length === 0 ? say("versions.none") : say("versions.some", all.length);
  list.replaceChildren(...all.map((v) => make("li", {}, button(say("versions.of", when.format(new Date(v.at)), v.bytes), async (event) => {
    try {
      const held = await ask("version", { file: name, name: v.id });
      for (const at of list.querySelectorAll("[aria-current]")) at.removeAttribute("aria-current");
      event.target.setAttribute("aria-current", "true");
      text.textContent = held.text;
      text.hidden = false;
      back.disabled = false;
      back.onclick = () => {
        box.close();
        show(held.text);
      };
    } catch (err) {
      element("versions_told").textContent = problem(err);
    }
  }, "write-symbol"))));
  box.showModal();
}
