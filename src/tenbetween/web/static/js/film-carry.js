// @ts-check
// How far a court is carried through the pan: asks for its one piece of work until that is over, and then no more.

import { sayNow, speak } from "./speak.js";

const FIRST_MS = 1000;
const LONGEST_MS = 8000;
/** After so long without a change the page stops asking and says so. */
const GIVEN_UP_MS = 10 * 60 * 1000;

/** @typedef {{ job: string, state: string, going: boolean, share: number, words: string, part: string }} Told */

/** Tells `over` (detail: Told) when a piece of work ended. */
export class Carrying extends EventTarget {
  /** @param {string} film */
  constructor(film) {
    super();
    this.film = film;
    /** @type {Map<string, symbol>} what is asked for, and by which asking: one that was stopped does not come to life again */
    this.watched = new Map();
  }

  /** Ask for every piece of work on the page that is under way and not asked for yet. */
  watch() {
    for (const row of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll('[data-job][data-going="yes"]'))) {
      const job = row.dataset.job ?? "";
      if (this.watched.has(job)) continue;
      const asking = Symbol(job);
      this.watched.set(job, asking);
      this.ask(job, asking, FIRST_MS, "", Date.now());
    }
  }

  /** @param {string} job @param {symbol} asking @param {number} wait @param {string} before what was told last @param {number} since when that changed */
  async ask(job, asking, wait, before, since) {
    await new Promise((go) => setTimeout(go, wait));
    if (document.hidden) await new Promise((go) => document.addEventListener("visibilitychange", go, { once: true }));
    if (this.watched.get(job) !== asking) return;
    const told = await this.fetched(job, null);
    if (this.watched.get(job) !== asking) return;
    if (!told) return void this.watched.delete(job);
    this.show(told, before);
    const now = `${told.state} ${told.words}`;
    const changed = now !== before;
    if (!told.going) return;
    if (!changed && Date.now() - since > GIVEN_UP_MS) {
      this.watched.delete(job);
      return speak("Nothing has moved for ten minutes: see under Films whether the work is done anywhere, then open this page again.", true);
    }
    this.ask(job, asking, changed ? FIRST_MS : Math.min(LONGEST_MS, wait * 1.5), now, changed ? Date.now() : since);
  }

  /** @param {string} job @param {"cancel" | "again"} does */
  async change(job, does) {
    const told = await this.fetched(job, { do: does });
    if (!told) return;
    this.show(told, "");
    if (told.going) this.watch();
  }

  /** @param {string} job @param {object | null} given @returns {Promise<Told | null>} null when it was refused and said */
  async fetched(job, given) {
    const how = given ? { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(given) } : {};
    const answer = await fetch(`/api/v1/films/${this.film}/carrying/${job}`, how).catch(() => null);
    if (!answer) return speak("The workbench does not answer. Open the page again once it runs.", true), null;
    const told = await answer.json();
    if (answer.ok) return told;
    return speak(told.errors.map((/** @type {any} */ one) => `${one.found}; ${one.do}.`).join(" "), true), null;
  }

  /** @param {Told} told @param {string} before a state is spoken once, a percentage not at all */
  show(told, before) {
    const row = /** @type {HTMLElement | null} */ (document.querySelector(`[data-job="${told.job}"]`));
    if (row) {
      const focused = row.contains(document.activeElement);
      row.innerHTML = told.part;
      row.dataset.going = told.going ? "yes" : "no";
      if (focused) row.querySelector("button")?.focus();
    }
    if (!before.startsWith(`${told.state} `)) sayNow(told.words);
    if (told.going) return;
    this.watched.delete(told.job);
    this.dispatchEvent(new CustomEvent("over", { detail: told }));
  }
}
