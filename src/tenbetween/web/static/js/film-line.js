// @ts-check
// The time line under the picture: where the film stands, ticks of moments and proposals; the ranked list of proposals.

import { keepIn } from "./film-marks.js";

const SVG = "http://www.w3.org/2000/svg";

/** @param {number} seconds @returns {string} to a hundredth, as the list says it */
export function clock(seconds) {
  const hundredths = Math.round(Math.max(0, seconds) * 100);
  const rest = `${String(Math.floor(hundredths / 100) % 60).padStart(2, "0")}.${String(hundredths % 100).padStart(2, "0")}`;
  const minutes = Math.floor(hundredths / 6000);
  return minutes < 60 ? `${minutes}:${rest}` : `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}:${rest}`;
}

export class TimeLine {
  /** @param {import("./film-player.js").FilmPlayer} player @param {import("./film-marks.js").Marks} marks */
  constructor(player, marks) {
    this.player = player;
    this.marks = marks;
    this.on = true;
    this.ticks = /** @type {SVGSVGElement} */ (/** @type {unknown} */ (document.getElementById("film-ticks")));
    this.seek = /** @type {HTMLInputElement} */ (document.getElementById("film-seek"));
    this.sure = /** @type {HTMLInputElement | null} */ (document.getElementById("sure"));
    this.list = document.getElementById("proposal-list");
    this.chosen = "";
    this.seek.addEventListener("input", () => player.goToTime(Number(this.seek.value)));
    this.sure?.addEventListener("input", () => this.filter());
    marks.addEventListener("rows", () => this.draw());
    marks.addEventListener("judged", (event) => this.judged(/** @type {CustomEvent} */ (event).detail));
  }

  /** Once the parts are known. */
  begin() {
    this.seek.max = String(this.player.length);
    this.filter();
  }

  /** @param {import("./film-player.js").Shown} shown */
  stand(shown) {
    /** @type {HTMLElement} */ (document.getElementById("film-time")).textContent = clock(shown.time);
    /** @type {HTMLElement} */ (document.getElementById("film-frame")).textContent = `frame ${shown.index + 1} of ${this.player.times.length}${this.player.parts.length > 1 ? `, ${shown.part.name}` : ""}`;
    if (document.activeElement !== this.seek || !this.player.playing) this.seek.value = String(shown.time);
    this.seek.setAttribute("aria-valuetext", clock(shown.time));
    this.head?.setAttribute("x", String(this.across(shown.time) - 1.5));
  }

  /** @param {number} time */
  across(time) {
    return (1000 * time) / Math.max(this.player.length, 0.01);
  }

  get proposals() {
    return /** @type {HTMLElement[]} */ ([...(this.list?.querySelectorAll("[data-proposal]") ?? [])]);
  }

  /** The doubtful are hidden; what was kept or dropped stays where it is, said in words. */
  filter() {
    const least = Number(this.sure?.value ?? 0);
    const words = document.getElementById("sure-words");
    if (words) words.textContent = String(least);
    for (const one of this.proposals) one.hidden = !this.on || Number(one.dataset.sure) < least;
    this.draw();
  }

  draw() {
    this.ticks.replaceChildren();
    for (const one of this.proposals) if (!one.hidden && one.dataset.verdict !== "dropped") this.tick(one, `k-${one.dataset.kind}`, 4, 10);
    for (const row of this.marks.rows) this.tick(row, row.getAttribute("aria-current") ? "tick-now" : "tick-mark", 14, 20);
    this.head = this.box("tick-head", this.across(this.player.shown?.time ?? 0) - 1.5, 3, 0, 34);
  }

  /** @param {HTMLElement} one @param {string} kind @param {number} top @param {number} height */
  tick(one, kind, top, height) {
    if (one.dataset.seconds) this.box(kind, this.across(Number(one.dataset.seconds)) - 1, kind.startsWith("tick") ? 2.5 : 2, top, height);
  }

  /** @param {string} kind @param {number} x @param {number} width @param {number} y @param {number} height */
  box(kind, x, width, y, height) {
    const box = document.createElementNS(SVG, "rect");
    for (const [name, value] of Object.entries({ class: kind, x, width, y, height })) box.setAttribute(name, String(value));
    this.ticks.append(box);
    return box;
  }

  /** @returns {HTMLElement | null} the next proposal in game time nobody judged yet */
  following() {
    const open = this.proposals.filter((one) => !one.hidden && !one.dataset.verdict && one.dataset.seconds);
    open.sort((a, b) => Number(a.dataset.seconds) - Number(b.dataset.seconds));
    const now = this.player.shown?.time ?? 0;
    return open.find((one) => Number(one.dataset.seconds) > now + 0.02 && one.dataset.proposal !== this.chosen) ?? open[0] ?? null;
  }

  /** @param {HTMLElement} one go to it; keep and drop then mean this one */
  choose(one) {
    this.chosen = one.dataset.proposal ?? "";
    for (const other of this.proposals) other.toggleAttribute("data-chosen", other === one);
    keepIn(this.list, one);
    return this.player.goTo(JSON.parse(one.dataset.at ?? "null"));
  }

  /** @param {{ proposal: string, verdict: string }} told */
  judged(told) {
    const one = this.proposals.find((other) => other.dataset.proposal === told.proposal);
    if (!one) return;
    one.dataset.verdict = told.verdict;
    const words = one.querySelector(".verdict-words");
    if (words) words.textContent = told.verdict;
    this.draw();
  }

  /** All proposals away, or back. @returns {boolean} */
  toggle() {
    this.on = !this.on;
    this.filter();
    return this.on;
  }
}
