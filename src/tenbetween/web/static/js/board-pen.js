// @ts-check
// A pen for class: free-hand lines over the court, not kept with the play; each stroke can be taken back.

const SVG = "http://www.w3.org/2000/svg";

export class BoardPen {
  /** @param {import("./board.js").SceneBoard} board */
  constructor(board) {
    this.board = board;
    this.layer = document.createElementNS(SVG, "g");
    this.layer.setAttribute("class", "pen");
    this.layer.setAttribute("aria-hidden", "true");
    board.drawing.append(this.layer);
    /** @type {SVGPathElement | null} */
    this.stroke = null;
    board.drawing.addEventListener("pointerdown", (event) => this.begin(event));
    board.drawing.addEventListener("pointermove", (event) => this.draw(event));
    board.drawing.addEventListener("pointerup", () => (this.stroke = null));
    board.drawing.addEventListener("pointercancel", () => (this.stroke = null));
  }

  get on() {
    return this.board.classList.contains("drawing-on");
  }

  /** @param {boolean} on */
  use(on) {
    this.board.classList.toggle("drawing-on", on);
  }

  /** @param {PointerEvent} event */
  begin(event) {
    if (!this.on || event.button !== 0) return;
    event.preventDefault();
    this.board.drawing.setPointerCapture(event.pointerId);
    this.stroke = document.createElementNS(SVG, "path");
    this.stroke.setAttribute("d", `M${this.point(event)}`);
    this.layer.append(this.stroke);
  }

  /** @param {PointerEvent} event */
  draw(event) {
    this.stroke?.setAttribute("d", `${this.stroke.getAttribute("d")}L${this.point(event)}`);
  }

  /** @param {PointerEvent} event */
  point(event) {
    const at = this.board.feetAt(event);
    return this.board.units(at.x, at.y).map((one) => one.toFixed(1)).join(" ");
  }

  /** @returns {boolean} whether there was a stroke to take back */
  undo() {
    const last = this.layer.lastElementChild;
    last?.remove();
    return !!last;
  }

  wipe() {
    this.layer.replaceChildren();
  }
}
