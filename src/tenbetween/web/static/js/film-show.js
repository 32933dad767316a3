// @ts-check
// The teaching view: plays, stops just before the moment and asks, shows pointers on their places, and puts new ones.

import { FilmCameras } from "./film-camera.js";
import { FilmPicture } from "./film-picture.js";
import { FilmPlayer } from "./film-player.js";
import { secondsOf, shapesAt, show } from "./film-point.js";
import { Pointing } from "./film-pointing.js";
import { sayNow, speak } from "./speak.js";

/** @typedef {import("./film-player.js").FrameTime} FrameTime */
/** @typedef {import("./film-player.js").Shown} Shown */
/** @typedef {{ id: string, cause: string, asks: string, answer: string, at: FrameTime, stop: FrameTime | null }} Moment */

/** The picture stops this long before the moment, at true speed, in seconds. */
const BEFORE_S = 0.12;

const main = /** @type {HTMLElement} */ (document.getElementById("main"));
const [wide, high] = (main.dataset.picture ?? "640 360").split(" ").map(Number);
/** @type {Moment[]} */
const moments = JSON.parse(main.dataset.rows ?? "[]");
const player = new FilmPlayer(/** @type {HTMLVideoElement} */ (document.getElementById("film")));
const cameras = new FilmCameras(main.dataset.film ?? "");
const pointing = new Pointing(main.dataset.film ?? "", main.dataset.mark ?? "", JSON.parse(main.dataset.pointers ?? "[]"));
const picture = new FilmPicture(/** @type {HTMLElement} */ (document.getElementById("find-stage")), wide, high);
const layer = /** @type {SVGElement} */ (/** @type {unknown} */ (document.getElementById("point-layer")));
const ask = /** @type {HTMLElement} */ (document.getElementById("show-ask"));
/** @type {Set<string>} moments that were asked since the film came to them */
const asked = new Set();
let stopping = true;
let overlay = true;
let pointed = false;

/** @returns {{ id: string, cause: string, asks: string, answer: string, stop: FrameTime }[]} where the film stops by itself */
function stops() {
  const pauses = pointing.items.filter((item) => item.kind === "pause").map((item) => ({ id: `pause-${item.from.pts}`, cause: "", asks: item.text || "What comes now?", answer: "", stop: item.from }));
  return [...moments.filter((one) => one.stop), ...pauses].map((one) => ({ ...one, stop: /** @type {FrameTime} */ (one.stop) }));
}

/** @param {Shown} shown */
function draw(shown) {
  const known = cameras.at(shown.at);
  const camera = known && known.state !== "red" ? known.camera : null;
  const shapes = overlay ? shapesAt(pointing.items, shown.at.part, shown.seconds, [wide, high], camera) : [];
  const lost = show(layer, shapes, [wide, high]);
  const time = /** @type {HTMLElement} */ (document.getElementById("film-time"));
  const minutes = Math.floor(shown.time / 60);
  time.textContent = `${minutes}:${(shown.time - 60 * minutes).toFixed(2).padStart(5, "0")}`;
  const note = /** @type {HTMLElement} */ (document.getElementById("show-note"));
  note.textContent = lost ? `${lost} pointer${lost > 1 ? "s" : ""} not shown: the court is not known on this frame.` : "";
  if (!player.playing) tie(known?.state ?? "");
}

const TIES = /** @type {Record<string, string>} */ ({
  green: "The court is known on this frame: what you put stays on its place on the floor.",
  amber: "The court is doubtful on this frame: what you put stays on its place on the floor, look whether it does.",
  red: "The court is lost on this frame: what you put stays on its place in the picture. Click two points of the floor to find it again.",
});

/** @param {string} state of the court on this frame: say what a click ties to */
function tie(state) {
  const says = document.getElementById("point-says");
  if (says) says.textContent = TIES[state] ?? "The court is not known on this frame: what you put stays on its place in the picture. Find the court and carry it through the pan to tie it to the floor.";
  const link = /** @type {HTMLAnchorElement | null} */ (document.getElementById("to-court"));
  const at = player.shown?.at;
  if (link && at) link.href = `/films/${main.dataset.film}/court?part=${at.part}&pts=${at.pts}`;
}

/** @param {Shown} shown stop just before a moment that is near */
async function watch(shown) {
  for (const one of stops()) {
    const left = one.stop.part === shown.at.part ? secondsOf(one.stop) - shown.seconds : Infinity;
    if (left > 1) asked.delete(one.id);
    if (!stopping || asked.has(one.id) || left <= 0 || left > BEFORE_S * Math.max(1, player.rate)) continue;
    asked.add(one.id);
    player.video.pause();
    await player.goTo(one.stop);
    await player.step(-1);
    return question(one);
  }
}

/** @param {{ cause: string, asks: string, answer: string }} one */
function question(one) {
  const put = (/** @type {string} */ id, /** @type {string} */ words) => (/** @type {HTMLElement} */ (document.getElementById(id)).textContent = words);
  put("ask-cause", one.cause);
  put("ask-words", one.asks);
  put("ask-answer", one.answer);
  /** @type {HTMLElement} */ (document.getElementById("ask-answer")).hidden = true;
  /** @type {HTMLElement} */ (ask.querySelector('[data-do="answer"]')).hidden = !one.answer;
  ask.hidden = false;
  /** @type {HTMLElement} */ (ask.querySelector('[data-do="on"]')).focus();
  sayNow(one.asks);
}

/** @param {1 | -1} way */
async function moment(way) {
  const now = player.shown?.time ?? 0;
  const timed = moments.map((one) => ({ one, time: player.timeOf(one.at) ?? -1 })).sort((a, b) => a.time - b.time);
  const found = way > 0 ? timed.find((row) => row.time > now + 0.05) : timed.reverse().find((row) => row.time < now - 0.05);
  if (!found) return speak("There is no other moment that way.", true);
  ask.hidden = true;
  asked.clear();
  await player.goTo(found.one.at);
  speak(found.one.cause);
}

/** @param {string} name @param {boolean} on */
function press(name, on) {
  document.getElementById(`do-${name}`)?.setAttribute("aria-pressed", String(on));
}

/** Pointing is done looking at the picture: it is brought to where the whole of it is seen, and the panel with it. */
function keepInView() {
  const box = picture.stage.getBoundingClientRect();
  const bar = parseFloat(getComputedStyle(document.documentElement).getPropertyValue("--bar")) || 0;
  if (box.top < bar || box.bottom > innerHeight) scrollBy({ top: box.top - bar, behavior: "instant" });
}

function redraw() {
  if (player.shown) draw(player.shown);
}

/** @type {Record<string, () => unknown>} */
const tools = {
  play: () => (ask.hidden ? player.toggle() : tools.on()),
  on: () => {
    ask.hidden = true;
    player.play(1);
    picture.stage.focus({ preventScroll: true });
  },
  answer: () => {
    const answer = /** @type {HTMLElement} */ (document.getElementById("ask-answer"));
    if (ask.hidden) return speak("The answer comes with the question, just before the moment.");
    answer.hidden = false;
    sayNow(answer.textContent ?? "");
  },
  back: () => player.step(-1),
  "on-frame": () => player.step(1),
  before: () => moment(-1),
  after: () => moment(1),
  stop: () => press("stop", (stopping = !stopping)),
  overlay: () => (press("overlay", (overlay = !overlay)), redraw()),
  point: async () => {
    pointed = !pointed;
    press("point", pointed);
    main.classList.toggle("pointing-now", pointed);
    /** @type {HTMLElement} */ (document.getElementById("pointing")).hidden = !pointed;
    await player.pause();
    picture.show(pointed ? picture.at : null);
    if (pointed) keepInView();
    (pointed ? document.getElementById("point-kind") : picture.stage)?.focus({ preventScroll: true });
  },
  put: () => player.shown && pointing.put(player.shown, null),
  full: () => {
    const frame = /** @type {HTMLElement} */ (document.getElementById("show-frame"));
    const turn = document.fullscreenElement ? document.exitFullscreen() : frame.requestFullscreen();
    turn.catch(() => speak("This browser does not give the full screen.", true));
  },
};

picture.addEventListener("place", async (event) => {
  if (!pointed) return void tools.play();
  await player.pause();
  const shown = player.shown;
  if (!shown) return;
  const dot = /** @type {CustomEvent} */ (event).detail;
  const known = cameras.at(shown.at);
  const floor = known && known.state !== "red" ? known.camera.floor(dot) : null;
  const tied = floor ? { court: /** @type {[number, number]} */ (floor.map((one) => Math.round(one * 100) / 100)) } : { picture: /** @type {[number, number]} */ ([(dot[0] + 0.5) / wide, (dot[1] + 0.5) / high]) };
  pointing.put(shown, tied);
});
pointing.addEventListener("change", redraw);
player.addEventListener("frame", (event) => {
  const shown = /** @type {CustomEvent} */ (event).detail;
  if (!shown) return;
  draw(shown);
  if (player.playing) watch(shown);
});
player.addEventListener("state", () => press("play", player.playing));
player.addEventListener("trouble", (event) => speak(/** @type {CustomEvent} */ (event).detail, true));
document.addEventListener("click", (event) => {
  const on = /** @type {HTMLElement | null} */ (/** @type {Element} */ (event.target).closest("[data-do], [data-act], [data-moment]"));
  if (!on) return;
  if (on.dataset.do) return void tools[on.dataset.do]?.();
  if (on.dataset.act) return void pointing.act(Number(on.dataset.item), on.dataset.act);
  event.preventDefault();
  const found = moments.find((one) => one.id === on.dataset.moment);
  if (found) player.goTo(found.at);
});
const keys = /** @type {HTMLDialogElement} */ (document.getElementById("keys"));
document.getElementById("keys-open")?.addEventListener("click", () => keys.showModal());
const KEYS = /** @type {Record<string, string>} */ ({ " ": "play", ",": "back", ".": "on-frame", b: "before", n: "after", a: "answer", p: "stop", o: "overlay", g: "point", f: "full" });
document.addEventListener("keydown", (event) => {
  const on = /** @type {Element} */ (event.target);
  if (event.key === "Escape" && on.closest("#pointing")) return picture.stage.focus({ preventScroll: true });
  if (event.ctrlKey || event.metaKey || event.altKey || keys.open || on.matches("input, textarea, select")) return;
  if (event.key === "?") return event.preventDefault(), keys.showModal();
  const does = KEYS[event.key.toLowerCase()];
  const letters = /** @type {HTMLInputElement} */ (document.getElementById("keys-on")).checked;
  if (!does || (!letters && event.key !== " ") || (event.key === " " && on.matches("button, a, summary"))) return;
  event.preventDefault();
  tools[does]();
});

/** Open the film at its moment, a second before it stops. */
async function begin() {
  const parts = JSON.parse(main.dataset.parts ?? "[]");
  await player.load(parts).catch((fault) => player.tell("trouble", fault.message));
  await Promise.all([...new Set(pointing.items.map((item) => item.from.part).concat(parts.map((/** @type {any} */ one) => one.fingerprint)))].map((part) => cameras.load(part)));
  const first = moments.find((one) => one.id === main.dataset.mark);
  if (first) await player.goTo(first.at);
  redraw();
  main.dataset.ready = "yes";
}

Object.assign(window, { show: { player, cameras, pointing, shapesAt } });
begin();
