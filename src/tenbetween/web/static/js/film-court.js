// @ts-check
// The small court of a moment: a tap or the arrow keys become a place in whole feet; near a boundary it is the line.

const BAND = 1;
const SVG = "http://www.w3.org/2000/svg";

/** @typedef {{ x: number, y: number }} Place */

/** @param {Place} place @param {number} length @param {number} width @returns {Place} whole feet, on the line when near it */
export function settled(place, length, width) {
  const x = Math.max(0, Math.min(length, Math.round(place.x)));
  const y = Math.max(0, Math.min(width, Math.round(place.y)));
  /** @type {[number, Place][]} */
  const edges = [[place.y, { x, y: 0 }], [width - place.y, { x, y: width }], [place.x, { x: 0, y }], [length - place.x, { x: length, y }]];
  const [near, line] = edges.reduce((best, one) => (one[0] < best[0] ? one : best));
  return near <= BAND ? line : { x, y };
}

/** Tells `place` (detail: [x, y]) when one is set. */
class FilmCourt extends HTMLElement {
  feet = new DOMMatrix();
  floor = { length: 84, width: 50 };
  /** @type {Place} */
  at = { x: 58, y: 0 };

  connectedCallback() {
    const [a, b, c, d, e, f] = (this.dataset.frame ?? "1 0 0 -1 0 50").split(" ").map(Number);
    this.feet = new DOMMatrix([a, b, c, d, e, f]);
    this.floor = { length: Number(this.dataset.length), width: Number(this.dataset.width) };
    const holder = /** @type {HTMLElement} */ (this.querySelector(".floor-holder"));
    holder.addEventListener("click", (event) => this.set(this.placeAt(event)));
    holder.addEventListener("keydown", (event) => this.key(event));
    holder.addEventListener("focus", () => this.aim(true));
  }

  get drawing() {
    return /** @type {SVGSVGElement} */ (this.querySelector("svg"));
  }

  /** @param {MouseEvent} event @returns {Place} */
  placeAt(event) {
    const now = /** @type {DOMMatrix} */ (this.drawing.getScreenCTM());
    const on = new DOMMatrix([now.a, now.b, now.c, now.d, now.e, now.f]).multiply(this.feet);
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(on.inverse());
    return settled(at, this.floor.length, this.floor.width);
  }

  /** @param {KeyboardEvent} event arrows move the way they point on the screen */
  key(event) {
    const ways = /** @type {Record<string, [number, number]>} */ ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] });
    const way = ways[event.key];
    if (event.ctrlKey || event.metaKey || event.altKey || (!way && event.key !== "Enter")) return;
    event.preventDefault();
    event.stopPropagation();
    if (!way) return this.set(this.at);
    const by = event.shiftKey ? 5 : 1;
    const turned = this.feet.inverse();
    const x = this.at.x + Math.sign(round(turned.a * way[0] + turned.c * way[1])) * by;
    const y = this.at.y + Math.sign(round(turned.b * way[0] + turned.d * way[1])) * by;
    this.at = { x: Math.max(0, Math.min(this.floor.length, x)), y: Math.max(0, Math.min(this.floor.width, y)) };
    this.aim(true);
  }

  /** @param {Place} place */
  set(place) {
    this.at = place;
    this.aim(true);
    this.dispatchEvent(new CustomEvent("place", { detail: [place.x, place.y] }));
  }

  /** Show where a kept place is, or none. @param {[number, number] | null} at */
  show(at) {
    if (at) this.at = { x: at[0], y: at[1] };
    this.aim(!!at);
  }

  /** @param {boolean} on */
  aim(on) {
    const mark = this.cross();
    mark.toggleAttribute("hidden", !on);
    const at = new DOMPoint(this.at.x, this.at.y).matrixTransform(this.feet);
    mark.setAttribute("transform", `translate(${at.x} ${at.y})`);
  }

  /** @returns {SVGGElement} */
  cross() {
    const there = /** @type {SVGGElement | null} */ (this.drawing.querySelector(".place-mark"));
    if (there) return there;
    const mark = document.createElementNS(SVG, "g");
    mark.setAttribute("class", "place-mark");
    const foot = Math.hypot(this.feet.a, this.feet.b);
    const ring = document.createElementNS(SVG, "circle");
    ring.setAttribute("r", String(2 * foot));
    const dot = document.createElementNS(SVG, "circle");
    dot.setAttribute("r", String(0.6 * foot));
    dot.setAttribute("class", "dot");
    mark.append(ring, dot);
    this.drawing.append(mark);
    return mark;
  }
}

/** @param {number} value */
function round(value) {
  return Math.abs(value) < 1e-9 ? 0 : value;
}

customElements.define("film-court", FilmCourt);
export { FilmCourt };
