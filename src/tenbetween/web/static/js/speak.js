// @ts-check
// The live region speaks the answer once the hand rests, never while it moves.

const REST_MS = 600;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let waiting;

/** Say at once what cannot wait; what was to be said is not said any more. @param {string} text */
export function sayNow(text) {
  clearTimeout(waiting);
  const live = document.getElementById("live");
  if (live) live.textContent = text;
}

/**
 * @param {string} text
 * @param {boolean} [shown] also where everybody sees it, for what went wrong
 */
export function speak(text, shown = false) {
  const note = document.getElementById("told");
  if (note) note.textContent = shown ? text : "";
  clearTimeout(waiting);
  waiting = setTimeout(() => {
    const live = document.getElementById("live");
    if (live) live.textContent = text;
  }, REST_MS);
}
