// @ts-check
// The moments of a film on the page: every change goes to the workbench one after the other, and the parts that are
// different now are put in place. What is on the page is what is kept.

import { speak } from "./speak.js";

/** @typedef {import("./film-player.js").FrameTime} FrameTime */
/** @typedef {{ mark?: string, next?: string, words?: string, rows?: string[], order?: string[], parts?: Record<string, string>, proposal?: string, verdict?: string, errors?: any[] }} Answer */

/** The medians are asked for again once the hand rests, in ms. */
const REST = 1500;

/** Scroll a box of its own, never the page: the picture must stay where the eye is. @param {Element | null} box @param {Element | null} row */
export function keepIn(box, row) {
  if (!box || !row) return;
  const [inner, outer] = [row.getBoundingClientRect(), box.getBoundingClientRect()];
  if (inner.top < outer.top) box.scrollTop -= outer.top - inner.top;
  else if (inner.bottom > outer.bottom) box.scrollTop += inner.bottom - outer.bottom;
}

/** Tells `open` (detail: id or "") when another moment is open, `rows` when the list is different, `judged`. */
export class Marks extends EventTarget {
  /** @param {string} film @param {string} current */
  constructor(film, current) {
    super();
    this.film = film;
    this.current = current;
    this.next = this.head?.dataset.next ?? "";
    /** @type {Promise<unknown>} */
    this.chain = Promise.resolve();
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.resting = undefined;
  }

  get head() {
    return /** @type {HTMLElement | null} */ (document.querySelector("#mark-clock .moment-head"));
  }

  get list() {
    return /** @type {HTMLElement} */ (document.getElementById("marks"));
  }

  /** @returns {HTMLElement[]} the rows of the list, in game time */
  get rows() {
    return /** @type {HTMLElement[]} */ ([...this.list.querySelectorAll("[data-mark]")]);
  }

  /**
   * Do one thing after everything that was asked before; what it needs of the state is read when its turn comes.
   * @param {() => (Record<string, unknown> | null)} asked
   * @returns {Promise<void>}
   */
  do(asked) {
    const turn = this.chain.then(() => this.post(asked())).catch(() => speak("The workbench does not answer; the last change was not kept. Is it still running?", true));
    this.chain = turn;
    return turn;
  }

  /** Change the open moment. @param {string} what @param {() => (Record<string, unknown> | null)} [more] */
  change(what, more = () => ({})) {
    return this.do(() => {
      const rest = more();
      if (!this.current) speak("No moment is open. Press M at a whistle first.", true);
      return this.current && rest ? { do: what, mark: this.current, ...rest } : null;
    });
  }

  /** @param {Record<string, unknown> | null} given */
  async post(given) {
    if (!given) return;
    const answer = await fetch(`/api/v1/films/${this.film}/do`, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(given) });
    this.take(await answer.json(), given.do !== "judge");
    clearTimeout(this.resting);
    this.resting = setTimeout(() => this.measure(), REST);
  }

  /** @param {Answer} told @param {boolean} opens */
  take(told, opens) {
    if (told.errors) return speak(told.errors.map((one) => `${one.where}: found ${one.found}; ${one.do}.`).join(" "), true);
    if (told.parts && told.mark && (opens || told.mark === this.current)) this.fill(told.mark, told);
    this.replace(told.rows ?? [], told.order);
    if (told.order && this.current && !told.order.includes(this.current)) this.empty();
    this.point();
    this.dispatchEvent(new Event("rows"));
    if (told.proposal) this.dispatchEvent(new CustomEvent("judged", { detail: told }));
    if (told.words) speak(told.words);
  }

  /** @param {string} mark @param {Answer} told */
  fill(mark, told) {
    const focused = document.activeElement?.id ?? "";
    const other = mark !== this.current;
    this.current = mark;
    this.next = told.next ?? "";
    for (const [name, html] of Object.entries(told.parts ?? {})) {
      const place = /** @type {HTMLElement} */ (document.getElementById(`mark-${name}`));
      const folds = other ? [] : [...place.querySelectorAll("details[id]")].map((one) => /** @type {[string, boolean]} */ ([one.id, one.hasAttribute("open")]));
      place.innerHTML = html;
      for (const [id, open] of folds) document.getElementById(id)?.toggleAttribute("open", open && id !== "fold-cause");
    }
    if (focused && document.activeElement?.id !== focused) document.getElementById(focused)?.focus({ preventScroll: true });
    document.getElementById("card-none")?.toggleAttribute("hidden", true);
    document.querySelector("film-court")?.toggleAttribute("hidden", false);
    if (other) history.replaceState(null, "", `?mark=${mark}`);
    this.dispatchEvent(new CustomEvent("open", { detail: { mark, other } }));
  }

  /** No moment is open any more. */
  empty() {
    this.current = this.next = "";
    for (const name of ["clock", "what", "answer"]) /** @type {HTMLElement} */ (document.getElementById(`mark-${name}`)).innerHTML = "";
    document.getElementById("card-none")?.toggleAttribute("hidden", false);
    document.querySelector("film-court")?.toggleAttribute("hidden", true);
    history.replaceState(null, "", location.pathname);
    this.dispatchEvent(new CustomEvent("open", { detail: { mark: "", other: true } }));
  }

  /**
   * Put rows that read otherwise now in the place of the old ones; with the order of all, new ones where they belong.
   * @param {string[]} rows
   * @param {string[]} [order]
   */
  replace(rows, order) {
    const made = document.createElement("template");
    made.innerHTML = rows.join("");
    const fresh = new Map([...made.content.querySelectorAll("[data-mark]")].map((row) => [row.id, row]));
    for (const [id, row] of fresh) document.getElementById(id)?.replaceWith(row);
    if (!order) return;
    const kept = new Set(order);
    for (const row of this.rows) if (!kept.has(row.dataset.mark ?? "")) row.remove();
    if (order.length) this.list.querySelector(".empty-row")?.remove();
    let after = /** @type {Element | null} */ (null);
    for (const mark of [...order].reverse()) {
      const row = document.getElementById(`row-${mark}`) ?? /** @type {Element} */ (fresh.get(`row-${mark}`));
      if (!row.isConnected || row.parentElement !== this.list) this.list.insertBefore(row, after);
      after = row;
    }
  }

  point() {
    for (const row of this.rows) {
      if (row.dataset.mark === this.current) row.setAttribute("aria-current", "true");
      else row.removeAttribute("aria-current");
    }
    const count = document.getElementById("marks-count");
    if (count) count.textContent = String(this.rows.length);
    keepIn(this.list, document.getElementById(`row-${this.current}`));
  }

  /** Open a moment that is kept. @param {string} mark */
  open(mark) {
    const turn = this.chain.then(async () => {
      const answer = await fetch(`/api/v1/films/${this.film}/marks/${mark}`);
      this.take(await answer.json(), true);
    });
    this.chain = turn.catch(() => speak("The workbench does not answer.", true));
    return this.chain;
  }

  /** @param {1 | -1} way @param {number} time where the film stands, when no moment is open @returns {HTMLElement | null} the row beside */
  beside(way, time) {
    const rows = this.rows;
    const at = rows.findIndex((row) => row.dataset.mark === this.current);
    if (at >= 0) return rows[at + way] ?? null;
    return (way > 0 ? rows.find((row) => Number(row.dataset.seconds) > time) : rows.filter((row) => Number(row.dataset.seconds) < time).at(-1)) ?? null;
  }

  async measure() {
    const answer = await fetch(`/api/v1/films/${this.film}/measure`);
    const place = document.getElementById("medians");
    if (answer.ok && place) place.innerHTML = (await answer.json()).medians;
  }
}
