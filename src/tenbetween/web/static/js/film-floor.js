// @ts-check
// The small court beside the picture: where everybody stands, each with the ellipse that holds the place 95 times in 100.

const SVG = "http://www.w3.org/2000/svg";

/** @typedef {{ id: string, at: [number, number] | null, ellipse?: { major: number, minor: number, angle_deg: number } }} Stood */

/** Draws whoever is handed in; knows no click. */
class FilmFloor extends HTMLElement {
  connectedCallback() {
    const layer = document.createElementNS(SVG, "g");
    layer.id = "floor-feet";
    const [a, b, c, d, e, f] = (this.dataset.frame ?? "1 0 0 -1 0 50").split(" ").map(Number);
    layer.setAttribute("transform", `matrix(${a} ${b} ${c} ${d} ${e} ${f})`);
    /** Text must not be turned over with the floor. */
    this.upright = `scale(1 ${d < 0 ? -1 : 1}) scale(${a < 0 ? -1 : 1} 1)`;
    this.querySelector("svg")?.append(layer);
    this.layer = layer;
  }

  /** @param {Stood[]} feet */
  show(feet) {
    this.layer?.replaceChildren(...feet.filter((one) => one.at).map((one) => this.person(one)));
  }

  /** @param {Stood} one */
  person(one) {
    const group = document.createElementNS(SVG, "g");
    const [x, y] = /** @type {[number, number]} */ (one.at);
    group.setAttribute("transform", `translate(${x} ${y})`);
    if (one.ellipse) {
      const round = document.createElementNS(SVG, "ellipse");
      round.setAttribute("rx", String(one.ellipse.major));
      round.setAttribute("ry", String(one.ellipse.minor));
      round.setAttribute("transform", `rotate(${one.ellipse.angle_deg})`);
      group.append(round);
    }
    const dot = document.createElementNS(SVG, "circle");
    dot.setAttribute("r", "0.45");
    dot.setAttribute("class", "off-dot");
    const name = document.createElementNS(SVG, "text");
    name.textContent = short(one.id);
    name.setAttribute("transform", this.upright ?? "");
    name.setAttribute("font-size", "2.4");
    name.setAttribute("x", "0.9");
    name.setAttribute("y", "-0.7");
    group.append(dot, name);
    return group;
  }
}

/** @param {string} id @returns {string} the letter of the role, W or D with a number for a player */
export function short(id) {
  if (id === "lead" || id === "trail") return id[0].toUpperCase();
  if (id === "ball") return "ball";
  return (id[0] === "a" ? "W" : "D") + id.slice(1);
}

customElements.define("film-floor", FilmFloor);
export { FilmFloor };
