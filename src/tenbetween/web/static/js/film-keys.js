// @ts-check
// Keys of the film room: each calls what a button of the page calls; letters sleep while one writes.

const KEPT = "tenbetween-film-keys";
/** Keys by what they mean, with the names of the tools. */
const KEYS = /** @type {Record<string, string>} */ ({
  " ": "play", ",": "frame-back", ".": "frame-on", ArrowLeft: "back-1", ArrowRight: "on-1", "Shift ArrowLeft": "back-5", "Shift ArrowRight": "on-5",
  PageUp: "back-10", PageDown: "on-10", "<": "slower", ">": "faster", m: "new", e: "now", x: "unseen", t: "stroke", c: "close", z: "undo", y: "redo",
  n: "after", b: "before", "[": "attacks-left", "]": "attacks-right", w: "ball-same", d: "ball-other", u: "other-lead", s: "other-side", q: "cause",
  i: "place", g: "duty", p: "propose", k: "keep", r: "drop", h: "hide", v: "camera", "/": "note", ";": "earlier", "'": "later",
});
const EVENTS = [..."0123456789-="];
const VERDICTS = /** @type {Record<string, string>} */ ({ y: "yes", n: "no", x: "not-seen", o: "no-chance" });

/** @param {Element} target @returns {boolean} */
function writes(target) {
  return target.matches("input:not([type=range]):not([type=checkbox]), textarea, select");
}

/**
 * @param {Record<string, () => void>} tools by name
 * @param {(event: string) => void} eventNow what a digit means
 * @param {(letter: string) => void} cause what a letter means after Q
 */
export function listen(tools, eventNow, cause) {
  const dialog = /** @type {HTMLDialogElement} */ (document.getElementById("keys"));
  const on = /** @type {HTMLInputElement} */ (document.getElementById("keys-on"));
  on.checked = localStorage.getItem(KEPT) !== "off";
  on.addEventListener("change", () => localStorage.setItem(KEPT, on.checked ? "on" : "off"));
  document.getElementById("keys-open")?.addEventListener("click", () => dialog.showModal());
  document.addEventListener("keydown", (event) => {
    const target = /** @type {Element} */ (event.target);
    if (event.ctrlKey || event.metaKey || event.altKey || dialog.open) return;
    if (event.key === "Escape") return leave(target);
    if (writes(target)) return;
    if (event.key === "?") return void dialog.showModal();
    if (!on.checked || own(event, target)) return;
    if (chosen(event, cause) || verdict(event, target)) return event.preventDefault();
    const key = event.key.length === 1 ? event.key.toLowerCase() : event.shiftKey ? `Shift ${event.key}` : event.key;
    const number = EVENTS.indexOf(key);
    const tool = tools[KEYS[key]];
    if (number < 0 && !tool) return;
    event.preventDefault();
    if (number >= 0) eventNow(`e${number}`);
    else tool();
  });
}

/** Keys a control needs for itself. @param {KeyboardEvent} event @param {Element} target */
function own(event, target) {
  const slides = target.matches("input[type=range]") && /^(Arrow|Page|Home|End)/.test(event.key);
  return slides || (event.key === " " && target.matches("button, a, summary, input"));
}

/** @param {Element} target */
function leave(target) {
  document.getElementById("main")?.removeAttribute("data-choosing");
  if (target instanceof HTMLElement && target !== document.body) target.blur();
}

/** While causes are being chosen, a letter is a cause. @param {KeyboardEvent} event @param {(letter: string) => void} cause */
function chosen(event, cause) {
  const main = document.getElementById("main");
  if (main?.dataset.choosing !== "cause") return false;
  main.removeAttribute("data-choosing");
  if (!/^[a-z]$/i.test(event.key)) return false;
  cause(event.key.toLowerCase());
  return true;
}

/** In a row of verdicts Y, N, X, O choose. @param {KeyboardEvent} event @param {Element} target */
function verdict(event, target) {
  const found = target.closest(".duty")?.querySelector(`[id$="-${VERDICTS[event.key.toLowerCase()] ?? "none"}"]`);
  /** @type {HTMLElement | null | undefined} */ (found)?.click();
  return !!found;
}
