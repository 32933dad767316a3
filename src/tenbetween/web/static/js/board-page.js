// @ts-check
// The court screen: joins the board, what is seen, the player, the pen, the tools and the keys.

import { draft, forget, takeUp } from "./board-draft.js";
import { paint } from "./board-film.js";
import { BoardPen } from "./board-pen.js";
import { BoardPlayer } from "./board-play.js";
import { BoardSight } from "./board-see.js";
import "./board.js";
import { speak } from "./speak.js";

/** @typedef {import("./board.js").SceneBoard} SceneBoard */

const board = /** @type {SceneBoard} */ (document.querySelector("scene-board"));
const sight = new BoardSight(board);
const pen = new BoardPen(board);
const player = new BoardPlayer(board, frame, rested);
/** @type {"lead" | "trail"} */
let eyes = "lead";
let waiting = 0;
let stamp = 0;

/** Draw in the next frame, once, however often the hand moved. @param {number} [at] */
function soon(at = 0) {
  stamp ||= at;
  waiting ||= requestAnimationFrame(() => {
    waiting = 0;
    const seen = sight.quick(board.state.scene, stamp);
    // While a hand moves the strip follows in every third frame; at rest it is drawn at once.
    if (!stamp || ++drawn % 3 === 0) sight.strip(board.state.scene, eyes, seen);
    stamp = 0;
  });
}

let drawn = 0;

/**
 * One frame of a play: people move in each; shading and strip, which cost most to paint, take turns.
 * @param {import("./board-state.js").Step} step
 * @param {number} number
 */
function frame(step, number) {
  const scene = { court: board.state.play.court, ...step };
  const turn = player.playing ? ++drawn % 4 : -1;
  const seen = sight.quick(scene, 0, turn < 0 || turn === 0);
  if (turn < 0 || turn === 2) sight.strip(scene, eyes, seen);
  mark(number);
}

/** @param {boolean} playing */
function rested(playing) {
  press("play", playing);
  board.classList.toggle("playing", playing);
  if (!playing) settled();
}

/** After a drop, an undo or a new step: everything drawn, said and asked for. */
async function settled() {
  board.place(board.state.step);
  board.name();
  soon();
  steps();
  draft(board.state);
  const { play, number } = board.state;
  const found = await sight.exact(board.state.scene, { line: play.line, step: number });
  if (!found) return;
  const card = document.getElementById("seen");
  if (card) fill(card, found.card);
  const line = /** @type {HTMLTextAreaElement | null} */ (document.getElementById("scene-line"));
  if (line && document.activeElement !== line) line.value = found.line;
  const list = document.getElementById("positions");
  if (list && !list.contains(document.activeElement)) fill(list, found.positions);
  // A single scene is its line; a play of steps stays under the address it was opened with.
  if (play.steps.length === 1 && !board.dataset.saved && board.state.done.length) history.replaceState(null, "", found.url);
  speak(found.speak);
}

/** Put a part in place; what was unfolded stays so. @param {HTMLElement} holder @param {string} html */
function fill(holder, html) {
  const open = [...holder.querySelectorAll("details[open]")].map((one) => one.id);
  const focused = holder.contains(document.activeElement) ? document.activeElement?.id : "";
  holder.innerHTML = html;
  for (const id of open) if (id) document.getElementById(id)?.setAttribute("open", "");
  if (focused) document.getElementById(focused)?.focus({ preventScroll: true });
}

/** @param {string} id @param {boolean} on */
function press(id, on) {
  document.getElementById(`do-${id}`)?.setAttribute("aria-pressed", String(on));
}

/** Show the list of steps as it is now. */
function steps() {
  const list = document.getElementById("steps");
  if (!list) return;
  const { play } = board.state;
  const template = /** @type {HTMLTemplateElement} */ (document.getElementById("step-row"));
  while (list.children.length > play.steps.length) list.lastElementChild?.remove();
  while (list.children.length < play.steps.length) list.append(template.content.cloneNode(true));
  for (const [number, row] of [...list.children].entries()) {
    const step = play.steps[number];
    const show = /** @type {HTMLButtonElement} */ (row.querySelector("button"));
    show.dataset.show = String(number);
    show.textContent = String(number + 1);
    show.setAttribute("aria-label", `Show step ${number + 1}: ${step.says}`);
    for (const name of /** @type {("says" | "seconds" | "hold")[]} */ (["says", "seconds", "hold"])) {
      const field = /** @type {HTMLInputElement} */ (row.querySelector(`[data-of="${name}"]`));
      field.dataset.step = String(number);
      if (document.activeElement !== field) field.value = String(step[name]);
    }
  }
  mark(board.state.number);
  board.closest("main")?.classList.toggle("many", play.steps.length > 1);
}

/** @param {number} number */
function mark(number) {
  const list = document.getElementById("steps");
  for (const [n, row] of [...(list?.children ?? [])].entries()) row.toggleAttribute("aria-current", n === number);
  const says = document.getElementById("says");
  const text = board.state.play.steps[number].says;
  if (says && says.textContent !== text) says.textContent = text;
}

/** One change that can be taken back. @param {() => void} act */
function change(act) {
  player.stop();
  board.state.keep();
  act();
  settled();
}

/** @param {string} which */
function hide(which) {
  const on = board.classList.toggle(`no-${which}`);
  for (const token of board.drawing.querySelectorAll(".token")) {
    const kind = token.classList.contains("official") ? "officials" : "players";
    token.classList.toggle("away", board.classList.contains(`no-${kind}`));
  }
  // What is said beside the court would give the answer away.
  board.closest("main")?.classList.toggle("asks", board.classList.contains("no-officials"));
  press(`hide-${which}`, on);
  speak(`${which[0].toUpperCase()}${which.slice(1)} ${on ? "hidden" : "shown"}.`);
}

/** @param {string} way */
function shadeBy(way) {
  sight.shown = /** @type {any} */ (way);
  for (const one of ["crew", "lead", "trail", "off"]) press(`shade-${one}`, one === way);
  soon();
}

/** @type {Record<string, () => void>} every tool by its name; keys and buttons call the same */
const tools = {
  play: () => player.toggle(),
  next: () => (player.stop(), player.step(1), settled()),
  back: () => (player.stop(), player.step(-1), settled()),
  undo: () => (player.stop(), pen.on && pen.undo()) || !board.state.undo() || settled(),
  redo: () => (player.stop(), !board.state.redo()) || settled(),
  ends: () => change(() => board.state.mirror(true, false)),
  sides: () => change(() => board.state.mirror(false, true)),
  add: () => change(() => board.state.add()),
  drop: () => change(() => board.state.drop()),
  lines: () => ((sight.lines = !sight.lines), press("lines", sight.lines), soon()),
  box: () => ((sight.box = !sight.box), press("box", sight.box), soon()),
  field: () => ((sight.field = !sight.field), press("field", sight.field), soon()),
  pen: () => (pen.use(!pen.on), press("pen", pen.on)),
  wipe: () => pen.wipe(),
  eyes: () => ((eyes = eyes === "lead" ? "trail" : "lead"), look()),
  half: () => crop(!board.classList.contains("half")),
  "hide-officials": () => hide("officials"),
  "hide-players": () => hide("players"),
  "shade-crew": () => shadeBy("crew"),
  "shade-lead": () => shadeBy("lead"),
  "shade-trail": () => shadeBy("trail"),
  "shade-off": () => shadeBy("off"),
};
const KEYS = /** @type {Record<string, string>} */ ({ " ": "play", n: "next", b: "back", z: "undo", y: "redo", m: "ends", t: "sides", l: "lines", x: "box", f: "field", p: "pen", w: "wipe", e: "eyes", h: "hide-officials", j: "hide-players", v: "half", 1: "shade-crew", 2: "shade-lead", 3: "shade-trail", 0: "shade-off" });

function look() {
  const title = document.getElementById("strip-title");
  if (title) title.textContent = `What the ${eyes} sees from where he stands`;
  soon();
}

/** @param {boolean} half */
function crop(half) {
  board.classList.toggle("half", half);
  board.crop(half ? board.state.step.ball[0] : null);
  press("half", half);
}

/** @param {Element} step a step that was worked out for an official: he takes it */
function take(step) {
  const { role, x, y } = /** @type {HTMLElement} */ (step).dataset;
  change(() => board.state.move(role ?? "", Number(x), Number(y)));
}

/** @param {Element} row both officials stand where a row of the comparison has them */
function stand(row) {
  const places = JSON.parse(/** @type {HTMLElement} */ (row).dataset.crew ?? "{}");
  change(() => {
    for (const role of /** @type {("lead" | "trail")[]} */ (["lead", "trail"])) Object.assign(board.state.step.officials[role], { facing: null }, places[role]);
  });
}

async function save() {
  const title = /** @type {HTMLInputElement} */ (document.getElementById("play-title"));
  const play = { ...board.state.play, title: title.value.trim() || board.state.play.title };
  const answer = await fetch("/api/v1/plays", { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ play, id: board.dataset.saved ?? "", version: board.dataset.version ?? "" }) });
  const found = await answer.json();
  if (!answer.ok) return speak(found.errors.map((/** @type {any} */ one) => `${one.where}: ${one.found}. ${one.do}.`).join(" "), true);
  forget();
  location.assign(found.url);
}

/** Hand the play as it stands to the exporter. @param {HTMLFormElement} form */
function handed(form) {
  /** @type {HTMLInputElement} */ (form.elements.namedItem("play")).value = JSON.stringify(board.state.play);
  /** @type {HTMLInputElement} */ (form.elements.namedItem("step")).value = String(board.state.number);
}

board.addEventListener("moving", (event) => soon(/** @type {CustomEvent} */ (event).detail));
board.addEventListener("dropped", () => settled());
board.addEventListener("picked", () => board.picked && speak("Picked. Tap the place, or use the arrow keys."));
document.addEventListener("click", (event) => {
  const target = /** @type {Element} */ (event.target);
  const tool = target.closest("[data-do]");
  const shown = /** @type {HTMLElement | null} */ (target.closest("[data-show]"));
  const step = target.closest("[data-take]");
  const row = target.closest("[data-crew]");
  if (tool) tools[/** @type {HTMLElement} */ (tool).dataset.do ?? ""]?.();
  else if (shown) (player.stop(), board.state.show(Number(shown.dataset.show)), settled());
  else if (step) take(step);
  else if (row) stand(row);
  else if (target.closest("#save-play")) save();
});
document.addEventListener("change", (event) => {
  const field = /** @type {HTMLInputElement} */ (event.target);
  const { of, step, who, axis } = field.dataset;
  if (of && step) change(() => Object.assign(board.state.play.steps[Number(step)], { [of]: of === "says" ? field.value : Math.max(0, Math.min(60, Number(field.value) || 0)) }));
  if (who && axis && Number.isFinite(field.valueAsNumber)) {
    const at = board.state.place(who);
    change(() => board.state.move(who, axis === "x" ? field.valueAsNumber : at.x, axis === "y" ? field.valueAsNumber : at.y));
    field.value = String(board.state.place(who)[/** @type {"x" | "y"} */ (axis)]);
  }
});
document.addEventListener("submit", (event) => {
  const form = /** @type {HTMLFormElement} */ (event.target);
  if (!form.matches("[data-handed]")) return;
  handed(form);
  const kind = /** @type {HTMLButtonElement | null} */ (event.submitter)?.value ?? "";
  if (kind !== "mp4" && kind !== "gif") return;
  event.preventDefault();
  paint(board.state.play, kind);
});
document.addEventListener("keydown", (event) => {
  const target = /** @type {Element} */ (event.target);
  const dialog = /** @type {HTMLDialogElement} */ (document.getElementById("keys"));
  if (event.ctrlKey || event.metaKey || event.altKey || dialog.open || target.closest("input, textarea, select")) return;
  if (event.key === "?") return void dialog.showModal();
  const on = /** @type {HTMLInputElement} */ (document.getElementById("keys-on")).checked;
  if (!on || (event.key === " " && target.closest("button, a, summary"))) return;
  const name = KEYS[event.key.toLowerCase()];
  if (!name) return;
  event.preventDefault();
  tools[name]();
});
document.getElementById("keys-open")?.addEventListener("click", () => /** @type {HTMLDialogElement} */ (document.getElementById("keys")).showModal());

takeUp(board.state);
board.place(board.state.step);
crop(matchMedia("(max-width: 600px)").matches);
board.name();
steps();
look();
Object.assign(window, { board, boardSight: sight, boardPlayer: player });
