// @ts-check
// The first screen: links and forms marked for it change the screen in place; everything works without this too.

import "./court-board.js";
import { listen } from "./keys.js";
import { play, step, stop } from "./play.js";
import { speak } from "./speak.js";
import { go, onScreen } from "./swap.js";

onScreen((screen) => {
  stop();
  speak(screen.speak);
});
listen({ play, step });

document.addEventListener("click", (event) => {
  const target = /** @type {Element} */ (event.target);
  const link = /** @type {HTMLAnchorElement | null} */ (target.closest("a[data-swap]"));
  if (link && !event.ctrlKey && !event.metaKey && !event.shiftKey && event.button === 0) {
    event.preventDefault();
    go(link.href);
  } else if (target.closest("[data-play]")) {
    play();
  } else {
    unfold(event, target);
  }
});

/**
 * A link to a fold opens it and goes there.
 * @param {Event} event
 * @param {Element} target
 */
function unfold(event, target) {
  const opener = /** @type {HTMLElement | null} */ (target.closest("[data-open]"));
  const fold = document.getElementById(opener?.dataset.open ?? "");
  if (!fold) return;
  event.preventDefault();
  fold.setAttribute("open", "");
  fold.scrollIntoView({ block: "start" });
  /** @type {HTMLElement | null} */ (fold.querySelector("summary"))?.focus({ preventScroll: true });
}

document.addEventListener("submit", async (event) => {
  const form = /** @type {HTMLFormElement} */ (event.target);
  if (form.matches("[data-swap]")) {
    event.preventDefault();
    go(`/?${new URLSearchParams(/** @type {any} */ (new FormData(form)))}`);
  } else if (form.matches("[data-look-form]")) {
    event.preventDefault();
    await send(form, event.submitter);
    go(location.pathname + location.search, "none");
  } else if (form.matches("[data-quiet]")) {
    event.preventDefault();
    await keep(form, /** @type {HTMLButtonElement} */ (event.submitter));
  }
});

/**
 * @param {HTMLFormElement} form
 * @param {HTMLElement | null} button
 */
function send(form, button) {
  const data = new URLSearchParams(/** @type {any} */ (new FormData(form, button)));
  return fetch(form.action, { method: "POST", body: data, redirect: "manual" });
}

/**
 * Save without leaving the page; say so on the button and aloud.
 * @param {HTMLFormElement} form
 * @param {HTMLButtonElement} button
 */
async function keep(form, button) {
  const answer = await send(form, button);
  const ok = answer.ok || answer.type === "opaqueredirect";
  button.textContent = ok ? "Saved" : "Not saved";
  speak(ok ? "Saved." : "That could not be saved. Open History to see what was kept.");
}

addEventListener("popstate", () => go(location.pathname + location.search, "none"));

/** On a page just opened: with a keyboard at hand the court has the focus; the pressed button says what is shown. */
function begin() {
  const narrow = matchMedia("(max-width: 600px)").matches;
  const shown = [...document.querySelectorAll(".floor-holder")].find((one) => /** @type {HTMLElement} */ (one).offsetParent);
  const free = document.activeElement === document.body && matchMedia("(pointer: fine)").matches;
  if (free && !location.hash) /** @type {HTMLElement | undefined} */ (shown)?.focus({ preventScroll: true });
  for (const button of document.querySelectorAll(".court-tools .auto")) {
    button.setAttribute("aria-pressed", String((button.id === "look-half") === narrow));
  }
}
begin();
