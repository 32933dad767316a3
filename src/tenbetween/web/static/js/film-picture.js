// @ts-check
// The picture of one frame: a place on it in dots, a cross moved by half dots, a lens beside it, and what is drawn over it.
// The middle of the first dot is (0, 0). Knows no court and no camera.

const SVG = "http://www.w3.org/2000/svg";
const LENS = 22;
const HALF = 0.5;
const FIVE = 5;

/** @typedef {[number, number]} Dot */
/** @typedef {{ id: string, label: string, dot: Dot, held: boolean }} Drawn */

/** @param {string} name @param {Record<string, string>} [given] @returns {SVGElement} */
function element(name, given = {}) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(given)) made.setAttribute(key, value);
  return made;
}

/** @param {Dot} at @param {number} size @returns {string} a cross with an open middle, so that the dot under it is seen */
function cross([u, v], size) {
  const gap = size / 3;
  return `M${u - size} ${v}H${u - gap}M${u + gap} ${v}H${u + size}M${u} ${v - size}V${v - gap}M${u} ${v + gap}V${v + size}`;
}

/** Tells `place` (detail: a dot) when a hand put something, `nudge` (a dot) when the arrows moved what is held. */
export class FilmPicture extends EventTarget {
  /** @param {HTMLElement} stage @param {number} wide @param {number} high dots of the picture */
  constructor(stage, wide, high) {
    super();
    this.stage = stage;
    this.wide = wide;
    this.high = high;
    /** @type {Dot} */
    this.at = [(wide - 1) / 2, (high - 1) / 2];
    this.over = /** @type {SVGSVGElement} */ (stage.querySelector("#find-over"));
    this.lens = /** @type {SVGSVGElement | null} */ (stage.querySelector("#find-lens"));
    stage.addEventListener("click", (event) => this.click(event));
    stage.addEventListener("pointermove", (event) => event.pointerType !== "touch" && this.glance(this.dotAt(event)));
    stage.addEventListener("pointerleave", () => this.glance(null));
    stage.addEventListener("keydown", (event) => this.key(event));
    stage.addEventListener("focus", () => this.show(this.at));
    stage.addEventListener("blur", () => this.show(null));
  }

  /** @param {MouseEvent} event @returns {Dot} */
  dotAt(event) {
    const now = /** @type {DOMMatrix} */ (this.over.getScreenCTM());
    const on = new DOMMatrix([now.a, now.b, now.c, now.d, now.e, now.f]).inverse();
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(on);
    return this.inside([at.x, at.y]);
  }

  /** @param {Dot} dot @returns {Dot} to a tenth of a dot, within the picture */
  inside([u, v]) {
    const round = (/** @type {number} */ value, /** @type {number} */ most) => Math.round(Math.max(-HALF, Math.min(most - HALF, value)) * 10) / 10;
    return [round(u, this.wide), round(v, this.high)];
  }

  /** @param {MouseEvent} event */
  click(event) {
    this.at = this.dotAt(event);
    this.stage.focus({ preventScroll: true });
    this.show(this.at);
    this.dispatchEvent(new CustomEvent("place", { detail: this.at }));
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const ways = /** @type {Record<string, Dot>} */ ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] });
    const way = ways[event.key];
    if (!way && event.key !== "Enter") return;
    event.preventDefault();
    if (!way) return void this.dispatchEvent(new CustomEvent("place", { detail: this.at }));
    const by = event.shiftKey ? FIVE : HALF;
    this.at = this.inside([this.at[0] + way[0] * by, this.at[1] + way[1] * by]);
    this.show(this.at);
    this.dispatchEvent(new CustomEvent("nudge", { detail: this.at }));
  }

  /** @param {Dot} dot put the cross there */
  goTo(dot) {
    this.at = this.inside(dot);
    this.show(this.at);
  }

  /** @param {Dot | null} dot */
  show(dot) {
    const layer = /** @type {SVGGElement} */ (this.over.querySelector("#over-cross"));
    layer.toggleAttribute("hidden", !dot);
    if (dot) layer.replaceChildren(element("path", { class: "under", d: cross(dot, this.wide / 40) }), element("path", { d: cross(dot, this.wide / 40) }));
    this.glance(dot);
  }

  /** The lens follows the hand; it stands on the other side of the picture. @param {Dot | null} dot */
  glance(dot) {
    const at = dot ?? (document.activeElement === this.stage ? this.at : null);
    this.lens?.toggleAttribute("hidden", !at);
    if (!at || !this.lens) return;
    this.lens.classList.toggle("other-side", at[0] > this.wide / 2 && at[1] < this.high / 2);
    this.lens.setAttribute("viewBox", `${at[0] - LENS / 2} ${at[1] - LENS / 2} ${LENS} ${LENS}`);
    this.lens.querySelector("#lens-cross")?.setAttribute("d", cross(at, LENS / 4));
  }

  /** @param {Dot[][]} lines the painted lines as a camera has them */
  paint(lines) {
    const layer = /** @type {SVGGElement} */ (this.over.querySelector("#over-paint"));
    layer.replaceChildren(...lines.map((line) => element("polyline", { points: line.map((dot) => dot.join(",")).join(" ") })));
    const way = lines.map((line) => "M" + line.map((dot) => dot.join(" ")).join("L")).join("");
    this.lens?.querySelector("#lens-paint")?.replaceChildren(element("path", { d: way }));
  }

  /** @param {Drawn[]} clicks */
  clicks(clicks) {
    const size = this.wide / 70;
    const layer = /** @type {SVGGElement} */ (this.over.querySelector("#over-clicks"));
    layer.replaceChildren(
      ...clicks.flatMap((one) => [
        element("path", { class: "under", d: cross(one.dot, size) }),
        element("path", one.held ? { class: "held", d: cross(one.dot, size) } : { d: cross(one.dot, size) }),
        this.label(one.label, one.dot, size),
      ]),
    );
  }

  /** @param {{ label: string, dot: Dot, around: Dot[] }[]} feet each with the ellipse its place has in the picture */
  feet(feet) {
    const size = this.wide / 90;
    const layer = /** @type {SVGGElement} */ (this.over.querySelector("#over-feet"));
    layer.replaceChildren(
      ...feet.flatMap((one) => {
        const points = one.around.map((dot) => dot.join(",")).join(" ");
        return [
          element("polygon", { class: "under", points }),
          element("polygon", { points }),
          element("path", { d: cross(one.dot, size) }),
          this.label(one.label, one.dot, size),
        ];
      }),
    );
  }

  /** @param {string} text @param {Dot} dot @param {number} size */
  label(text, dot, size) {
    const made = element("text", { x: String(dot[0] + size), y: String(dot[1] - size / 2), "font-size": String(this.wide / 45) });
    made.textContent = text;
    return made;
  }
}
