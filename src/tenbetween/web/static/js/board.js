// @ts-check
// The court one moves people on: mouse, touch, keys; pick and tap does all that dragging does. Knows no sight.

import { BoardState, clamp, tidy } from "./board-state.js";
import { called, feet } from "./board-words.js";

/** A token this near the finger, in pixels, is the one meant. */
const REACH = { mouse: 24, touch: 40, pen: 32 };
const MOVED = 4;

/** @typedef {import("./board-state.js").Step} Step */

export class SceneBoard extends HTMLElement {
  /** @type {DOMMatrix} feet to drawing units */
  matrix;
  /** @type {SVGSVGElement} */
  drawing;
  /** @type {BoardState} */
  state;
  /** @type {Map<string, SVGGElement>} by player id, person, or `ball` */
  tokens;
  /** @type {string} the whole court, while half of it is shown */
  whole;
  /** @type {string | null} */
  picked = null;
  /** @type {{ key: string, x: number, y: number, moved: boolean, dx: number, dy: number, pointer: number } | null} */
  held = null;
  /** @type {{ lead: number, trail: number } | null} where the eyes are turned, as last reckoned */
  facing = null;

  connectedCallback() {
    const [a, b, c, d, e, f] = (this.dataset.frame ?? "1 0 0 1 0 0").split(" ").map(Number);
    this.matrix = new DOMMatrix([a, b, c, d, e, f]);
    this.drawing = /** @type {SVGSVGElement} */ (this.querySelector("svg"));
    const size = { length: Number(this.dataset.length), width: Number(this.dataset.width) };
    this.state = new BoardState(JSON.parse(this.dataset.play ?? "{}"), size);
    this.state.show(Number(this.dataset.step ?? 0));
    this.gather();
    this.listen();
  }

  /** Give every token a name, a place in the tab order and a key of its own. */
  gather() {
    this.tokens = new Map();
    // A picture for who only reads the page; with scripts a group of buttons.
    this.drawing.setAttribute("role", "group");
    for (const token of /** @type {NodeListOf<SVGGElement>} */ (this.drawing.querySelectorAll(".token"))) {
      const id = token.dataset.id ?? "";
      const official = id === "lead" || id === "trail";
      this.tokens.set(official ? this.state.person(id) : id, token);
      token.setAttribute("role", "button");
      token.setAttribute("tabindex", "-1");
      token.setAttribute("focusable", "true");
    }
    this.tokens.values().next().value?.setAttribute("tabindex", "0");
    this.place(this.state.step);
  }

  listen() {
    this.drawing.addEventListener("pointerdown", (event) => this.down(event));
    this.drawing.addEventListener("pointermove", (event) => this.drag(event));
    this.drawing.addEventListener("pointerup", (event) => this.up(event));
    this.drawing.addEventListener("pointercancel", () => this.letGo());
    this.addEventListener("keydown", (event) => this.key(event));
    this.addEventListener("focusin", (event) => this.roving(/** @type {Element} */ (event.target)));
  }

  /** @param {string} key @returns {string} the id in the scene: a person is lead or trail by the step shown */
  idOf(key) {
    if (key !== "referee" && key !== "umpire") return key;
    return this.state.step.lead === key ? "lead" : "trail";
  }

  /**
   * Put every token where a step has it; only attributes change, so that the focus stays.
   * @param {Step} step
   */
  place(step) {
    for (const one of step.players) this.put(one.id, one.x, one.y);
    this.put("ball", step.ball[0], step.ball[1]);
    for (const role of /** @type {("lead" | "trail")[]} */ (["lead", "trail"])) {
      const person = role === "lead" ? step.lead : step.lead === "referee" ? "umpire" : "referee";
      this.put(person, step.officials[role].x, step.officials[role].y);
      this.letter(person, role);
    }
  }

  /** @param {string} key @param {number} x @param {number} y */
  put(key, x, y) {
    const [X, Y] = this.units(x, y);
    this.tokens.get(key)?.setAttribute("transform", `translate(${X.toFixed(2)} ${Y.toFixed(2)})`);
  }

  /** @param {string} person @param {"lead" | "trail"} role */
  letter(person, role) {
    const token = this.tokens.get(person);
    if (!token || token.dataset.id === role) return;
    token.dataset.id = role;
    token.classList.replace(role === "lead" ? "trail" : "lead", role);
    const letter = token.querySelector("text");
    if (letter) letter.textContent = role === "lead" ? "L" : "T";
  }

  /** Say anew where everybody is, once the hand rests. */
  name() {
    for (const [key, token] of this.tokens) {
      const id = this.idOf(key);
      const at = this.state.place(id);
      token.setAttribute("aria-label", `${called(id, key)}, ${feet(at.x)} from the left end line, ${feet(at.y)} from the table sideline`);
      token.setAttribute("aria-pressed", String(this.picked === key));
      token.classList.toggle("picked", this.picked === key);
    }
  }

  /** @param {number} x @param {number} y @returns {[number, number]} */
  units(x, y) {
    const { a, b, c, d, e, f } = this.matrix;
    return [a * x + c * y + e, b * x + d * y + f];
  }

  /** @param {{ clientX: number, clientY: number }} event @returns {DOMPoint} feet */
  feetAt(event) {
    const ctm = /** @type {DOMMatrix} */ (this.drawing.getScreenCTM());
    const whole = new DOMMatrix([ctm.a, ctm.b, ctm.c, ctm.d, ctm.e, ctm.f]).multiply(this.matrix);
    return new DOMPoint(event.clientX, event.clientY).matrixTransform(whole.inverse());
  }

  /** @returns {number} pixels of the window to a foot */
  get scale() {
    const ctm = /** @type {DOMMatrix} */ (this.drawing.getScreenCTM());
    return Math.hypot(ctm.a, ctm.b) * Math.hypot(this.matrix.a, this.matrix.b);
  }

  /**
   * The token nearest to a point, if near enough to be meant; hidden ones are not.
   * @param {PointerEvent} event
   * @returns {string | null}
   */
  nearest(event) {
    const at = this.feetAt(event);
    const reach = (REACH[/** @type {"mouse"} */ (event.pointerType)] ?? REACH.mouse) / this.scale;
    let best = null;
    let least = reach;
    for (const [key, token] of this.tokens) {
      if (token.classList.contains("away")) continue;
      const { x, y } = this.state.place(this.idOf(key));
      // The ball lies on who holds it: the holder is meant, unless the ball is alone.
      const far = Math.hypot(x - at.x, y - at.y) + (key === "ball" ? 0.3 : 0);
      if (far < least) [best, least] = [key, far];
    }
    return best;
  }

  /** @param {PointerEvent} event */
  down(event) {
    if (event.button !== 0 || this.classList.contains("drawing-on")) return;
    const key = this.nearest(event);
    const at = this.feetAt(event);
    if (!key) return;
    event.preventDefault();
    const was = this.state.place(this.idOf(key));
    this.held = { key, x: event.clientX, y: event.clientY, moved: false, dx: was.x - at.x, dy: was.y - at.y, pointer: event.pointerId };
    this.drawing.setPointerCapture(event.pointerId);
    this.tokens.get(key)?.focus({ preventScroll: true });
  }

  /** @param {PointerEvent} event */
  drag(event) {
    if (!this.held || event.pointerId !== this.held.pointer) return;
    if (!this.held.moved && Math.hypot(event.clientX - this.held.x, event.clientY - this.held.y) < MOVED) return;
    if (!this.held.moved) this.state.keep();
    this.held.moved = true;
    const at = this.feetAt(event);
    this.shift(this.held.key, at.x + this.held.dx, at.y + this.held.dy);
    this.tell("moving", event.timeStamp);
  }

  /** @param {PointerEvent} event */
  up(event) {
    if (this.classList.contains("drawing-on")) return;
    if (this.held) {
      const { key, moved } = this.held;
      this.letGo();
      if (moved) this.tell("dropped");
      else this.pick(this.picked === key ? null : key);
    } else if (this.picked && event.button === 0) {
      const at = this.feetAt(event);
      this.state.keep();
      this.shift(this.picked, Math.round(at.x * 2) / 2, Math.round(at.y * 2) / 2);
      this.pick(null);
      this.tell("dropped");
    }
  }

  letGo() {
    this.held = null;
  }

  /** @param {string} key @param {number} x @param {number} y */
  shift(key, x, y) {
    this.state.move(this.idOf(key), x, y);
    const { x: X, y: Y } = this.state.place(this.idOf(key));
    this.put(key, X, Y);
    this.put("ball", ...this.state.step.ball);
  }

  /** @param {string | null} key */
  pick(key) {
    this.picked = key;
    this.name();
    this.tell("picked");
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    const key = this.focused();
    if (!key || event.altKey || event.ctrlKey || event.metaKey) return;
    const ways = /** @type {Record<string, [number, number]>} */ ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] });
    const way = ways[event.key];
    if (way) this.nudge(key, way, event.shiftKey ? 5 : 1);
    else if (event.key === "Enter") this.pick(this.picked === key ? null : key);
    else if (event.key === "Escape" && this.picked) this.pick(null);
    else if (event.key === "PageDown" || event.key === "PageUp") this.neighbour(key, event.key === "PageDown" ? 1 : -1);
    else if (event.key === "Home") this.tokens.keys().next().value && this.focusOn(/** @type {string} */ (this.tokens.keys().next().value));
    else if ("[]\\".includes(event.key) && (key === "referee" || key === "umpire")) this.turn(key, event.key);
    else return;
    event.preventDefault();
    event.stopPropagation();
  }

  /**
   * One foot the way the arrow points on the screen, however the court is turned.
   * @param {string} key
   * @param {[number, number]} way
   * @param {number} feet
   */
  nudge(key, way, feet) {
    const back = this.matrix.inverse();
    const { x, y } = this.state.place(this.idOf(key));
    this.state.keep();
    this.shift(key, x + Math.sign(tidy(back.a * way[0] + back.c * way[1])) * feet, y + Math.sign(tidy(back.b * way[0] + back.d * way[1])) * feet);
    this.tell("moving", performance.now());
    this.tell("dropped");
  }

  /** @param {string} key @param {string} sign `[` and `]` turn the eyes 15 degrees, backslash leaves it to the program */
  turn(key, sign) {
    const role = /** @type {"lead" | "trail"} */ (this.idOf(key));
    const now = this.state.step.officials[role].facing ?? this.facing?.[role] ?? 0;
    this.state.keep();
    this.state.face(role, sign === "\\" ? null : Math.round(now / 15) * 15 + (sign === "]" ? 15 : -15));
    this.tell("moving", performance.now());
    this.tell("dropped");
  }

  /** @param {string} key @param {number} by */
  neighbour(key, by) {
    const keys = [...this.tokens.keys()].filter((one) => !this.tokens.get(one)?.classList.contains("away"));
    this.focusOn(keys[(keys.indexOf(key) + by + keys.length) % keys.length]);
  }

  /** @param {string} key */
  focusOn(key) {
    this.tokens.get(key)?.focus({ preventScroll: true });
  }

  /** @returns {string | null} */
  focused() {
    const active = document.activeElement;
    return [...this.tokens].find(([, token]) => token === active)?.[0] ?? null;
  }

  /** @param {Element} target the token that has the focus is the one Tab comes back to */
  roving(target) {
    if (!target.classList.contains("token")) return;
    for (const token of this.tokens.values()) token.setAttribute("tabindex", token === target ? "0" : "-1");
  }

  /** Show the half around an x, or the whole court with null. @param {number | null} x */
  crop(x) {
    this.whole ??= this.drawing.getAttribute("viewBox") ?? "0 0 1 1";
    const [left, top, wide, high] = this.whole.split(" ").map(Number);
    const more = Math.abs(this.units(6, 0)[0] - this.units(0, 0)[0]);
    const middle = this.units(this.state.size.length / 2, 0)[0];
    const right = x !== null && this.units(clamp(x, 0, this.state.size.length), 0)[0] >= middle;
    const from = right ? middle - more : left;
    const to = x === null || right ? left + wide : middle + more;
    this.drawing.setAttribute("viewBox", `${from} ${top} ${to - from} ${high}`);
    // The drawing keeps its own proportions: they are those of what is shown.
    this.drawing.setAttribute("width", String(to - from));
  }

  /** @param {string} name @param {number} [stamp] */
  tell(name, stamp = 0) {
    this.dispatchEvent(new CustomEvent(name, { detail: stamp }));
  }
}

customElements.define("scene-board", SceneBoard);
