// Photos: dropped on the page, chosen there or sent from a phone. Each becomes a figure with words for those who do not see
// it; a click on a part makes its balloon. Balloons are put on figures that are there already in the same way.
import { ask, button, choose, element, make, problem, say, tell, upload } from "./page.js";

const box = element("photo"), stage = element("stage"), form = box.querySelector("form"), told = element("photo_told");
const svgName = "http://www.w3.org/2000/svg";

let figure = null; // that is made: {file, width, height, image, balloons: [{id, name, letter, points}], at: {x, y}}
let put = null; // writes it
let of = null; // gives the file and its text, which are asked for the machine's things
let polling = 0, seen = 0;

const kinds = ["image/jpeg", "image/png", "image/svg+xml"];

/** pictures are the files of a drop or a paste that are pictures, also those of a kind that is refused with what to do. */
export function pictures(transfer) {
  return [...(transfer?.files ?? [])].filter((f) => f.type.startsWith("image/") || /\.(hei[cf]|jpe?g|png|svg)$/i.test(f.name));
}

function line(name, attributes) {
  const made = document.createElementNS(svgName, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  return made;
}

/** take asks for a photo, or goes on with some that are there. write gets the text of the figure, about the file's data. */
export function take(about, write, some = []) {
  begin(about, (f) => write(`::: figure ${f.id} "${f.title}" {src=${f.file} describe="${f.describe}"}\n${lines(f.balloons)}:::`));
  element("photo_from").hidden = false;
  element("photo_words").hidden = false;
  box.showModal();
  if (some.length > 0) add(some);
}

/** mark puts balloons on a figure that is in the text. write gets the lines of the new ones. */
export async function mark(about, file, describe, write) {
  begin(about, (f) => write(lines(f.balloons), f.describe));
  element("photo_from").hidden = true;
  element("photo_words").hidden = describe !== "";
  box.showModal();
  await show({ file });
  if (describe !== "") for (const field of form.querySelectorAll("#ui_write_photo_words input, #ui_write_photo_words textarea")) field.required = false;
}

function begin(about, write) {
  of = about;
  put = write;
  figure = null;
  form.reset();
  form.hidden = true;
  told.textContent = "";
  element("arrived").replaceChildren();
  element("phone").hidden = true;
  for (const field of form.querySelectorAll("#ui_write_photo_words input, #ui_write_photo_words textarea")) field.required = true;
}

/** lines are balloons as the text has them: each points to one place, and its number is placed by the compiler. */
function lines(balloons) {
  return balloons.flatMap((b) => b.points.map((point) => `- ${b.id} at ${point}\n`)).join("");
}

async function add(files) {
  told.textContent = say("photo.sending");
  for (const file of files) {
    try {
      arrived(await upload(file));
      told.textContent = "";
    } catch (err) {
      told.textContent = problem(err);
    }
  }
}

/** arrived offers a photo that is in the library now; the first one is shown at once. */
function arrived(photo) {
  element("arrived").append(make("li", {}, button(photo.file, () => show(photo), "write-symbol")));
  if (!figure) show(photo);
}

async function show(photo) {
  const name = photo.file.slice(photo.file.lastIndexOf("/") + 1).replace(/\.\w+$/, "");
  const image = make("img", { src: `picture/${photo.file}`, alt: "" });
  try {
    await image.decode();
  } catch {
    told.textContent = say("photo.unseen", photo.file);
    return;
  }
  const size = /\.svg$/.test(photo.file) ? await units(photo.file) : { width: image.naturalWidth, height: image.naturalHeight };
  figure = { file: photo.file, ...size, balloons: [], at: { x: size.width / 2, y: size.height / 2 } };
  figure.image = image;
  element("photo_id").value = name;
  form.hidden = false;
  draw();
  (element("photo_words").hidden ? stage.querySelector("svg") : element("photo_title")).focus();
}

/** units are those that a drawing counts in. */
async function units(file) {
  const root = new DOMParser().parseFromString(await (await fetch(`picture/${file}`)).text(), "image/svg+xml").documentElement;
  const [, , width, height] = (root.getAttribute("viewBox") ?? "").trim().split(/[\s,]+/).map(Number);
  return { width: width || parseFloat(root.getAttribute("width")) || 100, height: height || parseFloat(root.getAttribute("height")) || 100 };
}

function draw() {
  const { width, height, balloons, at, image } = figure;
  const r = Math.max(width, height) / 50;
  const over = line("svg", { viewBox: `0 0 ${width} ${height}`, tabindex: 0, role: "application", "aria-label": say("photo.stage"), "aria-describedby": "ui_write_stage_how" });
  const cross = line("path", { class: "write-cross" });
  const aim = () => cross.setAttribute("d", `M${at.x - r} ${at.y}h${2 * r}M${at.x} ${at.y - r}v${2 * r}`);
  aim();
  over.append(cross);
  for (const b of balloons) {
    for (const point of b.points) {
      const [x, y] = point.split(",");
      const words = line("text", { x, y, dy: "0.35em", "text-anchor": "middle", "font-size": r, class: "write-letter" });
      words.textContent = b.letter;
      over.append(line("circle", { cx: x, cy: y, r: r * 0.9, class: "write-dot" }), words);
    }
  }
  over.addEventListener("click", (event) => {
    const p = new DOMPoint(event.clientX, event.clientY).matrixTransform(over.getScreenCTM().inverse());
    at.x = p.x;
    at.y = p.y;
    aim();
    balloon();
  });
  over.addEventListener("keydown", (event) => {
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (way) {
      const by = Math.max(width, height) / (event.shiftKey ? 200 : 40);
      at.x = Math.min(Math.max(at.x + way[0] * by, 0), width);
      at.y = Math.min(Math.max(at.y + way[1] * by, 0), height);
      aim();
      told.textContent = say("photo.at", Math.round(at.x), Math.round(at.y));
    } else if (event.key === "Enter" || event.key === " ") {
      balloon();
    } else return;
    event.preventDefault();
  });
  stage.replaceChildren(image, over);
  element("balloons").replaceChildren(...balloons.map((b) => make("li", {}, `${b.letter}: ${b.name} `, button(say("photo.off", b.name), () => {
    figure.balloons = figure.balloons.filter((x) => x !== b);
    draw();
  }))));
}

/** balloon asks what is at the place, and puts its balloon there. */
async function balloon() {
  const all = await ask("things", of()).catch(() => []);
  const some = all.filter((t) => ["parts", "fasteners", "connections", "supports", "fluids"].includes(t.register));
  if (some.length === 0) {
    told.textContent = say("photo.nothings");
    return;
  }
  const chosen = await choose(say("photo.what"), some.map((t) => ({ label: t.id, detail: t.name, group: say("register." + t.register), thing: t })));
  if (chosen) {
    const { thing } = chosen;
    const scale = Math.max(figure.width, figure.height) < 200 ? 10 : 1;
    const point = `${Math.round(figure.at.x * scale) / scale},${Math.round(figure.at.y * scale) / scale}`;
    const before = figure.balloons.find((b) => b.id === thing.id);
    if (before) before.points.push(point);
    else figure.balloons.push({ id: thing.id, name: thing.name, letter: thing.letter || thing.id.slice(0, 2), points: [point] });
    draw();
    told.textContent = say("photo.balloon", thing.name);
  }
  stage.querySelector("svg").focus();
}

// The phone.

async function phone() {
  try {
    const door = await ask("phone-open", {});
    const code = line("svg", { viewBox: `0 0 ${door.side} ${door.side}`, role: "img", "aria-label": say("phone.code") });
    code.append(line("rect", { width: door.side, height: door.side, fill: "#fff" }), line("path", { d: door.path, fill: "#000" }));
    element("phone_code").replaceChildren(code);
    element("phone_address").textContent = door.address;
    element("phone_told").textContent = say("phone.waits", door.minutes);
    element("phone").hidden = false;
    seen = 0;
    clearTimeout(polling);
    poll();
  } catch (err) {
    told.textContent = problem(err);
  }
}

async function poll() {
  if (!box.open) return;
  const state = await ask("phone-ask", {}).catch(() => null);
  for (const photo of state?.photos.slice(seen) ?? []) arrived(photo);
  seen = Math.max(seen, state?.photos.length ?? 0);
  if (state?.over) element("phone_told").textContent = say("phone.over");
  else if (state?.joined) element("phone_told").textContent = say("phone.joined", seen);
  if (!state?.over) polling = setTimeout(poll, 1000);
}

element("phone_open").addEventListener("click", phone);
element("photo_file").addEventListener("change", (event) => add([...event.target.files]));
element("photo_file").accept = kinds.join(",");
form.addEventListener("submit", (event) => {
  event.preventDefault();
  const plain = (at) => element(at).value.trim().replaceAll('"', "”").replace(/\s+/g, " ");
  put({ ...figure, id: plain("photo_id"), title: plain("photo_title"), describe: plain("photo_describe") });
  box.close();
  tell(say("photo.done"));
});
box.addEventListener("close", () => {
  clearTimeout(polling);
  if (!element("phone").hidden) ask("phone-shut", {}).catch(() => {});
});
