// @ts-check
// Find the court: marks clicked by name, feet clicked by person, each answered at once with how far it is off.

import { Carrying } from "./film-carry.js";
import { short } from "./film-floor.js";
import { FilmPicture } from "./film-picture.js";
import { sayNow, speak } from "./speak.js";

/** @typedef {import("./film-picture.js").Dot} Dot */
/** @typedef {import("./film-floor.js").FilmFloor} FilmFloor */
/** @typedef {{ id: string, px: Dot, at: [number, number] | null, picture?: Dot[], says: string, ellipse?: any }} Foot */

const main = /** @type {HTMLElement} */ (document.getElementById("main"));
const [wide, high] = (main.dataset.picture ?? "640 360").split(" ").map(Number);
const picture = new FilmPicture(/** @type {HTMLElement} */ (document.getElementById("find-stage")), wide, high);
const floor = /** @type {FilmFloor} */ (document.querySelector("film-floor"));
const names = /** @type {HTMLSelectElement} */ (document.getElementById("find-name"));
const people = /** @type {HTMLSelectElement} */ (document.getElementById("find-who"));
const at = JSON.parse(main.dataset.at ?? "{}");
/** @type {Map<string, Dot>} */
const marks = new Map();
/** @type {Map<string, Dot>} */
const feet = new Map();
let mode = /** @type {"marks" | "feet"} */ ("marks");
/** The one the arrows move: the last that was put. */
let held = "";
let snap = false;
/** The court shown is an offer from another frame: nothing is clicked, somebody has to look. */
let offered = false;
let pairs = /** @type {any} */ (null);
let located = JSON.parse(main.dataset.located ?? "{}");
const carrying = new Carrying(main.dataset.film ?? "");
let stood = /** @type {Foot[]} */ (JSON.parse(main.dataset.feet ?? "[]"));
/** @type {{ do: string } | null} */
let waiting = null;
/** @type {Promise<void>} */
let under = Promise.resolve();

/** @param {string} name @returns {boolean} */
const isLine = (name) => names.querySelector(`option[value="${name}"]`)?.getAttribute("data-kind") === "line";

function now() {
  const list = [...marks].map(([name, px]) => ({ name, px }));
  return {
    at,
    landmarks: list.filter((one) => !isLine(one.name)),
    lines: list.filter((one) => isLine(one.name)),
    feet: [...feet].map(([id, px]) => ({ id, px })),
    snap,
    offered: offered && !marks.size,
    mark: main.dataset.mark,
  };
}

/** @param {Record<string, unknown>} given @returns {Promise<any>} the answer, or null when it was refused and said */
async function ask(given) {
  const answer = await fetch(`/api/v1/films/${main.dataset.film}/court`, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(given) }).catch(() => null);
  if (!answer) return speak("The workbench does not answer. What you clicked is still here.", true), null;
  const told = await answer.json();
  if (!answer.ok) return speak(told.errors.map((/** @type {any} */ one) => `${one.where}: ${one.found}; ${one.do}.`).join(" "), true), null;
  for (const [name, html] of Object.entries(told.parts ?? {})) swap(name, /** @type {string} */ (html));
  if (told.words) speak(told.words);
  return told;
}

/** @param {HTMLElement} on @returns {string} what a button is for, the same before and after its part is put anew */
const keyOf = ({ dataset }) => dataset.pick ?? dataset.stand ?? `${dataset.do}${dataset.anchor ?? dataset.work ?? ""}`;

/** Put a part of the page in its place; the focus stays on what it was on. @param {string} name @param {string} html */
function swap(name, html) {
  const place = document.getElementById(`part-${name}`);
  if (!place) return;
  const focused = /** @type {HTMLElement | null} */ (document.activeElement);
  const key = focused && place.contains(focused) ? keyOf(focused) : null;
  place.innerHTML = html;
  if (!key) return;
  const again = [...place.querySelectorAll("button")].find((one) => keyOf(one) === key);
  (again ?? /** @type {HTMLElement | null} */ (place.querySelector("[data-work]")))?.focus();
}

/** Of many clicks at once only the last is waited for. */
function reckon() {
  const first = waiting === null;
  waiting = { do: "locate" };
  draw();
  if (first) under = under.then(answered);
  return under;
}

async function answered() {
  const given = { ...now(), ...waiting };
  waiting = null;
  const told = await ask(given);
  if (!told) return;
  located = told.located;
  if (feet.size) stood = located.feet;
  draw();
  const row = located.clicks.find((/** @type {any} */ one) => one.name === held);
  const foot = stood.find((one) => one.id === held);
  if (row) speak(`${row.words}${row.says ? `: ${row.says}` : ""}. ${located.why || located.state_words}`);
  else if (foot) speak(`${foot.says}.`);
}

function draw() {
  picture.paint(located.paint ?? []);
  picture.clicks([...marks].map(([name, dot], number) => ({ id: name, label: String(number + 1), dot, held: name === held })));
  const places = new Map(stood.map((one) => [one.id, one]));
  picture.feet([...feet].map(([id, dot]) => ({ label: short(id), dot, around: /** @type {Dot[]} */ (places.get(id)?.picture ?? []) })));
  floor.show(stood.filter((one) => feet.has(one.id)));
  for (const button of document.querySelectorAll("[data-pick], [data-stand]")) {
    const on = /** @type {HTMLElement} */ (button).dataset;
    button.setAttribute("aria-pressed", String((on.pick ?? on.stand) === held));
  }
}

/** Put the chosen mark, or the feet of the chosen person, at a dot. @param {Dot} dot @param {boolean} byKey */
function place(dot, byKey) {
  const list = mode === "marks" ? marks : feet;
  const chosen = mode === "marks" ? names : people;
  if (byKey && held && list.get(held)?.join() === dot.join()) {
    held = "";
    draw();
    return sayNow(`Next: ${chosen.selectedOptions[0]?.text ?? ""}. Move the cross and press Enter.`);
  }
  held = chosen.value;
  list.set(held, dot);
  if (mode === "marks") snap = false;
  reckon().then(next);
}

/** Choose what to click next: the mark that tells most, the next person who is not clicked. */
function next() {
  if (mode === "marks") {
    if (located.next && marks.has(names.value)) names.value = located.next.name;
    return;
  }
  const free = [...people.options].find((one) => !feet.has(one.value));
  if (free && feet.has(people.value)) people.value = free.value;
}

/** @param {"marks" | "feet"} to */
function turn(to) {
  mode = to;
  held = "";
  for (const one of ["marks", "feet"]) document.getElementById(`do-${one}`)?.setAttribute("aria-pressed", String(one === to));
  sayNow(to === "marks" ? "Marks of the floor are clicked now." : "Feet are clicked now: where the shoes touch the floor.");
  next();
  draw();
}

/** @param {string} id what the arrows move from now on */
function hold(id) {
  mode = marks.has(id) ? "marks" : "feet";
  turn(mode);
  held = id;
  const dot = marks.get(id) ?? feet.get(id);
  const chosen = mode === "marks" ? names : people;
  chosen.value = id;
  if (dot) picture.goTo(dot);
  picture.stage.focus({ preventScroll: true });
  draw();
}

/** @type {Record<string, (on?: HTMLElement) => unknown>} */
const tools = {
  marks: () => turn("marks"),
  feet: () => turn(mode === "feet" ? "marks" : "feet"),
  snap: async () => {
    snap = true;
    await reckon();
    sayNow(located.state_words);
  },
  again: async () => {
    const told = document.getElementById("do-again") && (await ask({ do: "again", at }));
    if (!told) return;
    marks.clear();
    held = "";
    offered = true;
    located = told.located;
    draw();
  },
  keep: async () => {
    if (await ask({ ...now(), do: "keep" })) main.dataset.kept = "yes";
  },
  away: () => {
    const list = marks.has(held) ? marks : feet;
    if (!list.delete(held)) return speak("Choose one of the list first.", true);
    held = "";
    stood = stood.filter((one) => feet.has(one.id));
    reckon();
  },
  lines: () => {
    const button = /** @type {HTMLElement} */ (document.getElementById("do-lines"));
    const shown = button.getAttribute("aria-pressed") !== "true";
    button.setAttribute("aria-pressed", String(shown));
    document.getElementById("over-paint")?.toggleAttribute("hidden", !shown);
  },
  saw,
  pair: () => ((pairs = "nearest"), saw()),
  follow: (on) => ask({ do: "follow", anchor: on?.dataset.anchor }).then((told) => told?.job && carrying.watch()),
  off: (on) => carrying.change(on?.dataset.work ?? "", "cancel"),
  "on-again": (on) => carrying.change(on?.dataset.work ?? "", "again"),
  drop: (on) => ask({ do: "drop", anchor: on?.dataset.anchor }),
};

async function saw() {
  if ((marks.size || offered) && !main.dataset.kept) await ask({ ...now(), do: "keep" }).then((told) => told && (main.dataset.kept = "yes"));
  const told = await ask({ ...now(), do: "stand", keep: true, pairs });
  if (!told) return;
  stood = told.feet;
  pairs = told.pairs;
  draw();
}

carrying.addEventListener("over", () => ask({ do: "look" }));

picture.addEventListener("place", (event) => place(/** @type {CustomEvent} */ (event).detail, document.activeElement === picture.stage && held !== ""));
picture.addEventListener("nudge", (event) => {
  const list = marks.has(held) ? marks : feet;
  if (!held || !list.has(held)) return;
  list.set(held, /** @type {CustomEvent} */ (event).detail);
  if (list === marks) snap = false;
  reckon();
});
document.addEventListener("click", (event) => {
  const on = /** @type {HTMLElement | null} */ (/** @type {Element} */ (event.target).closest("[data-do], [data-pick], [data-stand]"));
  if (!on) return;
  if (on.dataset.do) return void tools[on.dataset.do]?.(on);
  hold(on.dataset.pick ?? on.dataset.stand ?? "");
});
const keys = /** @type {HTMLDialogElement} */ (document.getElementById("keys"));
const keysOn = /** @type {HTMLInputElement} */ (document.getElementById("keys-on"));
document.getElementById("keys-open")?.addEventListener("click", () => keys.showModal());
document.addEventListener("keydown", (event) => {
  const on = /** @type {Element} */ (event.target);
  if (event.ctrlKey || event.metaKey || event.altKey || keys.open || on.matches("input, textarea, select")) return;
  if (event.key === "?") return event.preventDefault(), keys.showModal();
  const does = /** @type {Record<string, string>} */ ({ f: "feet", s: "snap", r: "again", k: "keep", w: "saw", l: "lines", delete: "away", backspace: "away" })[event.key.toLowerCase()];
  if (!does || !keysOn.checked) return;
  event.preventDefault();
  tools[does]();
});

/** Take up what was kept of this frame. */
function begin() {
  const kept = JSON.parse(main.dataset.clicks ?? "{}");
  for (const one of [...(kept.landmarks ?? []), ...(kept.lines ?? [])]) marks.set(one.name, one.px);
  for (const one of stood) feet.set(one.id, one.px);
  if (marks.size) main.dataset.kept = "yes";
  snap = Boolean(kept.snap);
  if (located.next) names.value = located.next.name;
  draw();
  carrying.watch();
  main.dataset.ready = "yes";
}

begin();
