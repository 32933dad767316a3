// @ts-check
// Keys of the first screen: each is the key of a link or button that is on the page anyway.

import { go } from "./swap.js";

const KEPT = "tenbetween-keys";

/** @param {EventTarget | null} target */
function typing(target) {
  return target instanceof Element && target.matches("input:not([type=checkbox]):not([readonly]), textarea:not([readonly]), select");
}

/** Letters and digits work while court, sentence or nothing in particular has the focus, and when not switched off. */
function listening() {
  const at = document.activeElement;
  const inside = !at || at === document.body || at.closest("[data-keys]") || at.id === "main";
  return !!inside && localStorage.getItem(KEPT) !== "off";
}

/** @param {string} key */
function press(key) {
  const found = [...document.querySelectorAll(`[data-key="${CSS.escape(key)}"]`)];
  const visible = found.find((one) => /** @type {HTMLElement} */ (one).offsetParent) ?? found[0];
  if (!visible) return false;
  /** @type {HTMLElement} */ (visible).click();
  return true;
}

/** @param {{ play: () => void, step: (by: number) => void }} player */
export function listen(player) {
  const dialog = /** @type {HTMLDialogElement} */ (document.getElementById("keys"));
  const on = /** @type {HTMLInputElement} */ (document.getElementById("keys-on"));
  on.checked = localStorage.getItem(KEPT) !== "off";
  on.addEventListener("change", () => localStorage.setItem(KEPT, on.checked ? "on" : "off"));
  document.getElementById("keys-open")?.addEventListener("click", () => dialog.showModal());
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || dialog.open || typing(event.target)) {
      if (event.key === "Escape" && typing(event.target)) /** @type {HTMLElement} */ (event.target).blur();
      return;
    }
    if (handle(event, dialog, player)) event.preventDefault();
  });
}

/**
 * @param {KeyboardEvent} event
 * @param {HTMLDialogElement} dialog
 * @param {{ play: () => void, step: (by: number) => void }} player
 */
function handle(event, dialog, player) {
  const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
  if (key === "Escape") return empty();
  if (!listening()) return false;
  if (key === "?") return dialog.showModal(), true;
  if (key === "/") return line();
  if (key === "n" || key === "b") return player.step(key === "n" ? 1 : -1), true;
  if (key === " " && !document.activeElement?.closest("summary, button, a")) return player.play(), true;
  return /^[a-z0-9[\]]$/.test(key) && press(key);
}

function line() {
  const field = /** @type {HTMLInputElement | null} */ (document.getElementById("line"));
  field?.focus();
  field?.scrollIntoView({ block: "nearest" });
  return !!field;
}

/** Nothing is open any more (an open part was closed before this): empty the blanks. */
function empty() {
  const address = /** @type {HTMLElement | null} */ (document.querySelector("court-board"))?.dataset.empty;
  const blank = document.querySelectorAll("#say .open, #say .now").length === 3;
  if (!address || blank) return false;
  go(address);
  return true;
}
