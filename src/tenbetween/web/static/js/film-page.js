// @ts-check
// The film room: joins player, time line, moments, small court, tools and keys.

import "./film-court.js";
import { listen } from "./film-keys.js";
import { TimeLine } from "./film-line.js";
import { keepIn, Marks } from "./film-marks.js";
import { frameAt, secondsOf } from "./film-player.js";
import { StillPlayer } from "./film-still.js";
import { speak } from "./speak.js";

/** @typedef {import("./film-player.js").FrameTime} FrameTime */
/** @typedef {import("./film-court.js").FilmCourt} FilmCourt */

const SPEEDS = [0.25, 0.5, 1, 1.5, 2, 3];
const main = /** @type {HTMLElement} */ (document.getElementById("main"));
const player = new StillPlayer(/** @type {HTMLVideoElement} */ (document.getElementById("film")), /** @type {HTMLImageElement} */ (document.getElementById("film-still")));
const marks = new Marks(main.dataset.film ?? "", main.dataset.mark ?? "");
const line = new TimeLine(player, marks);
const court = /** @type {FilmCourt} */ (document.querySelector("film-court"));
/** The event marked last, so that it can be put a frame earlier or later. */
let last = "e0";
/** @type {FrameTime | null} a moment of one camera that waits for its like on another */
let lined = null;

/** @returns {FrameTime | null} the frame on screen, as it is kept */
function here() {
  const at = player.shown?.at ?? null;
  if (!at) speak("No picture is on the screen yet.", true);
  return at;
}

/** @param {string} name put an event at the frame on screen */
function eventNow(name) {
  const at = here();
  last = name;
  if (at) marks.change("event", () => ({ event: name, at }));
}

/** The next event is the one after the last; which that is shows only when its turn comes. @param {FrameTime | "not seen" | null} at */
function walk(at) {
  if (!at) return;
  marks.change("event", () => {
    if (!marks.next) speak("The event clock is at its end. C closes the moment.", true);
    last = at === "not seen" ? last : marks.next;
    return marks.next ? { event: marks.next, at } : null;
  });
}

/** @param {string} name @param {number} by frames */
async function nudge(name, by) {
  await marks.chain;
  const button = document.getElementById(`go-${name}`);
  if (!button) return speak("That event has no time yet.", true);
  await player.goTo(JSON.parse(button.dataset.go ?? "null"));
  const shown = await player.step(by);
  last = name;
  if (shown) marks.change("event", () => ({ event: name, at: shown.at }));
}

/** @param {Record<string, unknown>} fields */
function set(fields) {
  return marks.change("set", () => ({ fields }));
}

/** Both cameras at one moment: noted on the first, lined up on the second. */
async function align() {
  const at = here();
  if (!at || !lined || player.parts.find((one) => one.fingerprint === lined?.part)?.camera === player.camera) {
    lined = at;
    return speak("Noted. Turn to the other camera, find the same moment, and press it again.", true);
  }
  const there = lined;
  lined = null;
  await marks.do(() => ({ do: "align", here: at, there }));
  location.reload();
}

/** The cause whose chip has that letter; the chips may still be on their way. @param {string} letter */
function cause(letter) {
  marks.change("set", () => {
    const chips = /** @type {HTMLElement[]} */ ([...document.querySelectorAll("#fold-cause [data-set=stopped_by]")]);
    const chip = chips.find((one) => one.querySelector("kbd")?.textContent === letter);
    return chip ? { fields: { stopped_by: chip.dataset.value } } : null;
  });
}

/** @param {1 | -1} way */
function faster(way) {
  const at = SPEEDS.findIndex((one) => one >= player.rate - 0.01);
  player.speed(SPEEDS[Math.max(0, Math.min(SPEEDS.length - 1, at + way))]);
}

/** @param {HTMLElement | null} row open a moment and show its frame */
async function open(row) {
  if (!row) return speak("There is no other moment that way.");
  const at = JSON.parse(row.dataset.at ?? "null");
  await marks.open(row.dataset.mark ?? "");
  if (at) await player.goTo(at);
}

/** @param {"kept" | "dropped"} verdict then on to the next */
function judge(verdict) {
  const proposal = line.chosen;
  if (!proposal) return speak("Choose a proposal first: P goes to the next.", true);
  line.chosen = "";
  marks.do(() => ({ do: "judge", proposal, verdict })).then(() => advance());
}

function advance() {
  const next = line.following();
  if (next) line.choose(next);
  else speak("No proposal is left.");
}

/** @param {string} camera */
function turn(camera) {
  player.turnTo(camera);
  speak(`Camera: ${camera}.`);
}

/** @type {Record<string, () => void>} every tool by its name; keys and buttons call the same */
const tools = {
  play: () => player.toggle(),
  "frame-back": () => player.step(-1),
  "frame-on": () => player.step(1),
  "back-1": () => player.jump(-1),
  "on-1": () => player.jump(1),
  "back-5": () => player.jump(-5),
  "on-5": () => player.jump(5),
  "back-10": () => player.jump(-10),
  "on-10": () => player.jump(10),
  slower: () => faster(-1),
  faster: () => faster(1),
  camera: () => turn(player.cameras[(player.cameras.indexOf(player.camera) + 1) % player.cameras.length]),
  align,
  new: () => {
    const at = here();
    last = "e0";
    if (at) marks.do(() => ({ do: "start", at }));
  },
  now: () => walk(here()),
  unseen: () => walk("not seen"),
  stroke: () => {
    const at = here();
    if (at) marks.change("stroke", () => ({ at }));
  },
  close: () => marks.change("close"),
  remove: () => marks.change("remove"),
  undo: () => marks.do(() => ({ do: "undo" })),
  redo: () => marks.do(() => ({ do: "redo" })),
  before: () => open(marks.beside(-1, player.shown?.time ?? 0)),
  after: () => open(marks.beside(1, player.shown?.time ?? 0)),
  earlier: () => nudge(last, -1),
  later: () => nudge(last, 1),
  "attacks-left": () => set({ attacking: "left" }),
  "attacks-right": () => set({ attacking: "right" }),
  "ball-same": () => set({ ball_to: "same" }),
  "ball-other": () => set({ ball_to: "other" }),
  "other-lead": () => set({ flip: "lead" }),
  "other-side": () => set({ flip: "side" }),
  cause: () => {
    main.dataset.choosing = "cause";
    document.getElementById("fold-cause")?.setAttribute("open", "");
    keepIn(document.getElementById("card"), document.getElementById("fold-cause"));
  },
  place: () => void marks.chain.then(() => document.getElementById("place-court")?.focus()),
  duty: async () => {
    await marks.chain;
    const rows = [...document.querySelectorAll(".duty")];
    const row = rows.find((one) => !one.querySelector('[aria-pressed="true"]')) ?? rows[0];
    /** @type {HTMLElement | null | undefined} */ (row?.querySelector("button"))?.focus();
  },
  note: () => document.getElementById("mark-note")?.focus(),
  propose: advance,
  keep: () => judge("kept"),
  drop: () => judge("dropped"),
  hide: () => document.getElementById("do-hide")?.setAttribute("aria-pressed", String(line.toggle())),
  "own-duty": () => {
    const words = /** @type {HTMLInputElement} */ (document.getElementById("own-duty")).value.trim();
    const who = /** @type {HTMLSelectElement} */ (document.getElementById("own-who")).value;
    if (words) marks.change("duty", () => ({ duty: words, who, verdict: "not seen" }));
  },
};

/** @param {HTMLElement} button in the row of a duty; pressed again it is taken back */
function verdict(button) {
  const row = /** @type {HTMLElement} */ (button.closest(".duty"));
  const taken = button.getAttribute("aria-pressed") === "true" ? "" : button.dataset.verdict;
  marks.change("duty", () => ({ duty: row.dataset.duty, who: row.dataset.who, verdict: taken }));
}

/** @param {HTMLElement} on a control of the card */
function pressed(on) {
  const { event, nudge: name, by, go, unseen, reopen, set: field, value } = on.dataset;
  if (event) eventNow(event);
  else if (name) nudge(name, Number(by));
  else if (go) player.goTo(JSON.parse(go));
  else if (unseen) marks.change("event", () => ({ event: unseen, at: "not seen" }));
  else if (reopen) marks.change("event", () => ({ event: reopen, at: null }));
  else if (field) set({ [field]: value === "yes" || value === "no" ? value === "yes" : value });
  else if (on.dataset.verdict) verdict(on);
}

document.addEventListener("click", (event) => {
  const target = /** @type {Element} */ (event.target);
  const tool = /** @type {HTMLElement | null} */ (target.closest("[data-do]"));
  if (tool) return tools[tool.dataset.do ?? ""]?.();
  const opened = /** @type {HTMLElement | null} */ (target.closest("[data-open]"));
  if (opened) return event.preventDefault(), void open(opened.closest("[data-mark]"));
  const proposal = /** @type {HTMLElement | null} */ (target.closest("[data-proposal]"));
  if (proposal) return void line.choose(proposal);
  const on = /** @type {HTMLElement | null} */ (target.closest("#card button"));
  if (on) pressed(on);
});
document.addEventListener("change", (event) => {
  const field = /** @type {HTMLInputElement} */ (event.target);
  const kind = field.dataset.note;
  if (kind === "note") set({ note: field.value });
  if (kind === "tags") set({ tags: field.value.split(",").map((tag) => tag.trim()).filter(Boolean) });
});
court.addEventListener("place", (event) => set({ at: /** @type {CustomEvent} */ (event).detail }));

/** Show on the small court what is kept. */
function place() {
  const kept = /** @type {HTMLElement | null} */ (document.getElementById("place-words"))?.dataset.at;
  court.show(kept ? JSON.parse(kept) : null);
}
marks.addEventListener("open", place);
const toCourt = /** @type {HTMLAnchorElement | null} */ (document.querySelector('.film-head a[href$="/court"]'));
player.addEventListener("frame", (event) => {
  const shown = /** @type {CustomEvent} */ (event).detail;
  if (shown) line.stand(shown);
  if (shown && toCourt && !player.playing) toCourt.search = `?part=${shown.at.part}&pts=${shown.at.pts}`;
});
player.addEventListener("state", () => {
  document.getElementById("do-play")?.setAttribute("aria-pressed", String(player.playing));
  const speed = document.getElementById("film-speed");
  if (speed) speed.textContent = `${player.rate}×`;
});
player.addEventListener("trouble", (event) => {
  const note = /** @type {HTMLElement} */ (document.getElementById("film-trouble"));
  note.hidden = false;
  note.textContent = /** @type {CustomEvent} */ (event).detail;
});
player.video.addEventListener("click", () => player.toggle());
listen(tools, eventNow, cause);

/** Open the film where it was left: at the moment of the address, else at the beginning. */
async function begin() {
  await player.load(JSON.parse(main.dataset.parts ?? "[]")).catch((fault) => player.tell("trouble", fault.message));
  line.begin();
  place();
  const row = document.getElementById(`row-${marks.current}`);
  if (row?.dataset.at) await player.goTo(JSON.parse(row.dataset.at));
  main.dataset.ready = "yes";
}

Object.assign(window, { film: { player, marks, line, frameAt, secondsOf } });
begin();
