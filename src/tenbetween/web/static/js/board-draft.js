// @ts-check
// What was moved and not saved survives a reload and the way back, in this tab only.

/** @typedef {import("./board-state.js").BoardState} BoardState */

const address = location.pathname + location.search;
const KEY = `tenbetween draft ${address}`;

/**
 * A page that is opened anew begins anew; one that is loaded again goes on where it was.
 * @param {BoardState} state
 */
export function takeUp(state) {
  const [opened] = /** @type {PerformanceNavigationTiming[]} */ (performance.getEntriesByType("navigation"));
  const told = sessionStorage.getItem(KEY);
  if (opened?.type !== "navigate" && told) state.take(told);
  else sessionStorage.removeItem(KEY);
}

/** @param {BoardState} state */
export function draft(state) {
  if (!state.done.length) return;
  try {
    sessionStorage.setItem(KEY, state.told());
  } catch {
    // A full store costs the draft, never the page.
  }
}

/** What is saved is no draft any more. */
export function forget() {
  sessionStorage.removeItem(KEY);
}
