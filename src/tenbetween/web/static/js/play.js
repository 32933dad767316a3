// @ts-check
// Plays the numbered steps one after the other: the step in the list and what belongs to it on the court.

const STEP_MS = 1400;
let now = 0;
/** @type {ReturnType<typeof setInterval> | undefined} */
let clock;

function count() {
  return document.querySelectorAll("#steps li").length;
}

/** @param {number} step 0 shows everything again */
function show(step) {
  now = step;
  document.getElementById("main")?.classList.toggle("playing", step > 0);
  for (const one of document.querySelectorAll("[data-step]")) {
    const mine = Number(/** @type {HTMLElement} */ (one).dataset.step) === step;
    one.classList.toggle("on", mine);
    if (one.matches("li")) mine ? one.setAttribute("aria-current", "step") : one.removeAttribute("aria-current");
  }
}

/** @param {number} by */
export function step(by) {
  pause();
  if (count()) show((now + by + count() + 1) % (count() + 1));
}

export function play() {
  if (clock) return stop();
  if (!count()) return;
  document.getElementById("play")?.setAttribute("aria-pressed", "true");
  show(1);
  clock = setInterval(() => (now >= count() ? stop() : show(now + 1)), STEP_MS);
}

function pause() {
  clearInterval(clock);
  clock = undefined;
  document.getElementById("play")?.setAttribute("aria-pressed", "false");
}

export function stop() {
  pause();
  show(0);
}
