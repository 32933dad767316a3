// @ts-check
// The court one taps: pointer, touch and arrow keys become a place; the server draws and decides.

import { go } from "./swap.js";

/** A tap this close inside a boundary, in feet, or anywhere outside it, means the line. */
const BAND = 1;
const SVG = "http://www.w3.org/2000/svg";

/** @typedef {{ x: number, y: number }} Place */

/** @type {Place | null} the mark moved by keys, kept while the drawing is replaced */
let mark = null;

class CourtBoard extends HTMLElement {
  connectedCallback() {
    const [a, b, c, d, e, f] = (this.dataset.frame ?? "1 0 0 -1 0 50").split(" ").map(Number);
    /** @type {DOMMatrix} feet to drawing units */
    this.matrix = new DOMMatrix([a, b, c, d, e, f]);
    this.holder = /** @type {HTMLElement} */ (this.querySelector(".floor-holder"));
    this.drawing = /** @type {SVGSVGElement} */ (this.querySelector("svg"));
    if (this.dataset.asks === "no") return;
    this.holder.addEventListener("pointermove", (event) => event.pointerType === "mouse" && this.aim(this.placeAt(event)));
    this.holder.addEventListener("pointerleave", () => this.aim(null));
    this.holder.addEventListener("click", (event) => this.tap(this.placeAt(event)));
    this.holder.addEventListener("keydown", (event) => this.key(event));
    this.holder.addEventListener("blur", () => this.aim(null));
    this.holder.addEventListener("focus", () => this.holder?.matches(":focus-visible") && !this.answered && this.aim(this.start()));
  }

  /** An answered drawing has its spot on it; the mark comes back with the first arrow. */
  get answered() {
    return !!this.closest(".answered");
  }

  get size() {
    return { length: Number(this.dataset.length), width: Number(this.dataset.width) };
  }

  /** @returns {Place} where the mark begins: the place as set, else where it was, else the middle of the table sideline */
  start() {
    const [x, y] = (this.dataset.at ?? "").split(",").map(Number);
    if (this.dataset.at && Number.isFinite(x)) return { x, y };
    return mark ?? { x: this.size.length - 26, y: 0 };
  }

  /**
   * @param {MouseEvent} event
   * @returns {Place} in feet, whole feet, on the line when near it
   */
  placeAt(event) {
    if (!this.matrix) return this.start();
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(this.onScreen().multiply(this.matrix).inverse());
    return snapped({ x: at.x, y: at.y }, this.size);
  }

  /** @returns {DOMMatrix} units of the drawing to pixels of the window */
  onScreen() {
    const now = this.drawing?.getScreenCTM();
    return now ? new DOMMatrix([now.a, now.b, now.c, now.d, now.e, now.f]) : new DOMMatrix();
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    const ways = /** @type {Record<string, [number, number]>} */ ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] });
    const way = ways[event.key];
    if (way && !event.altKey && !event.ctrlKey && !event.metaKey) {
      event.preventDefault();
      this.nudge(way, event.shiftKey ? 5 : 1);
    } else if (event.key === "Enter") {
      event.preventDefault();
      this.tap(mark ?? this.start(), "push");
    }
  }

  /**
   * Move the mark the way the arrow points on the screen, however the court is turned.
   * @param {[number, number]} way
   * @param {number} feet
   */
  nudge(way, feet) {
    if (!this.matrix) return;
    const turned = this.matrix.inverse();
    const dx = sign(turned.a * way[0] + turned.c * way[1]);
    const dy = sign(turned.b * way[0] + turned.d * way[1]);
    const from = mark ?? this.start();
    const { length, width } = this.size;
    mark = { x: tidy(clamp(from.x + dx * feet, 0, length)), y: tidy(clamp(from.y + dy * feet, 0, width)) };
    this.aim(mark);
    if (this.dataset.at) this.tap(mark, "replace");
  }

  /**
   * @param {Place} place
   * @param {"push" | "replace"} how
   */
  tap(place, how = "push") {
    mark = place;
    const online = onLine(place, this.size);
    const address = online && !this.dataset.cause ? this.dataset.out : this.dataset.tap;
    go(`${address}${place.x},${place.y}`, how);
  }

  /** @param {Place | null} place */
  aim(place) {
    const cross = this.cross();
    cross.toggleAttribute("hidden", !place);
    this.label?.toggleAttribute("hidden", !place);
    if (!place || !this.matrix || !this.drawing) return;
    const at = new DOMPoint(place.x, place.y).matrixTransform(this.matrix);
    cross.firstElementChild?.setAttribute("transform", `translate(${at.x} ${at.y})`);
    this.name(place, at);
  }

  /**
   * @param {Place} place
   * @param {DOMPoint} at
   */
  name(place, at) {
    if (!this.label || !this.drawing || !this.holder) return;
    this.label.textContent = words(place, this.size);
    const box = this.getBoundingClientRect();
    const on = at.matrixTransform(this.onScreen());
    const left = clamp(on.x - box.left - this.label.offsetWidth / 2, 2, box.width - this.label.offsetWidth - 2);
    this.label.style.left = `${left}px`;
    this.label.style.top = `${on.y - box.top + (on.y - box.top < 56 ? 20 : -42)}px`;
  }

  /** @returns {SVGSVGElement} the mark's own layer, over the drawing */
  cross() {
    const there = /** @type {SVGSVGElement | null} */ (this.querySelector(".aim"));
    if (there) return there;
    const layer = document.createElementNS(SVG, "svg");
    layer.setAttribute("class", "aim");
    layer.setAttribute("aria-hidden", "true");
    layer.setAttribute("viewBox", this.drawing?.getAttribute("viewBox") ?? "");
    const foot = Math.hypot(this.matrix?.a ?? 1, this.matrix?.b ?? 0);
    layer.innerHTML = `<g><g transform="scale(${foot})"><circle r="1.7"/><line x1="-3" x2="-.9"/><line x1=".9" x2="3"/><line y1="-3" y2="-.9"/><line y1=".9" y2="3"/></g></g>`;
    this.label = document.createElement("span");
    this.label.className = "aim-label";
    this.append(layer, this.label);
    return layer;
  }
}

/** @param {number} value @param {number} low @param {number} high */
function clamp(value, low, high) {
  return Math.min(Math.max(value, low), high);
}

/** @param {number} value */
function sign(value) {
  return Math.abs(value) < 1e-9 ? 0 : Math.sign(value);
}

/** @param {number} value one decimal where the floor's own size has one */
function tidy(value) {
  return Math.round(value * 1e4) / 1e4;
}

/**
 * @param {Place} place
 * @param {{ length: number, width: number }} size
 * @returns {Place}
 */
export function snapped(place, size) {
  const x = clamp(place.x, 0, size.length);
  const y = clamp(place.y, 0, size.width);
  const out = { x: tidy(Math.round(x)), y: tidy(Math.round(y)) };
  /** @type {[number, "x" | "y", number][]} */
  const edges = [[y, "y", 0], [size.width - y, "y", size.width], [x, "x", 0], [size.length - x, "x", size.length]];
  const [distance, axis, value] = edges.reduce((best, one) => (one[0] < best[0] ? one : best));
  if (distance <= BAND) out[axis] = value;
  return { x: Math.min(out.x, size.length), y: Math.min(out.y, size.width) };
}

/** @param {Place} place @param {{ length: number, width: number }} size */
function onLine(place, size) {
  return Math.min(place.y, size.width - place.y, place.x, size.length - place.x) <= 0.05;
}

/**
 * The place in words, as the server says it (a test compares the two).
 * @param {Place} place
 * @param {{ length: number, width: number }} size
 */
export function words(place, size) {
  const depth = Math.min(place.x, size.length - place.x);
  const across = `${feet(place.y)} from the table sideline`;
  const end = place.x <= size.length / 2 ? "left" : "right";
  if (Math.min(place.y, size.width - place.y) <= 0.05) {
    const line = place.y <= 0.05 ? "table sideline" : "opposite sideline";
    return depth > size.length / 2 - 0.05 ? `${line}, division line` : `${line}, ${feet(depth)}`;
  }
  if (depth <= 0.05) return `${end} end line, ${across}`;
  return `${feet(depth)} from the ${end} end line, ${across}`;
}

/** @param {number} value */
function feet(value) {
  const rounded = Math.round(value * 10) / 10;
  return `${rounded} ft`;
}

customElements.define("court-board", CourtBoard);
