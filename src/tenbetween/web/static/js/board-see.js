// @ts-check
// Shows on the court what the crew sees: at once while a hand moves (reckoned here), exactly on drop (reckoned by the program).

import { drawBox, drawLooks } from "./overlay.js";
import { see } from "./seen.js";
import { shade } from "./shade.js";
import { speak } from "./speak.js";
import { drawStrip } from "./strip.js";

/** @typedef {import("./board.js").SceneBoard} SceneBoard */

const SVG = "http://www.w3.org/2000/svg";
/** What the shading shows: floor hidden from both, seen by one only, or hidden from one official. */
const SHADES = /** @type {const} */ ({ crew: ["nobody", "lead", "trail"], lead: ["not-lead"], trail: ["not-trail"], off: [] });
/** The pattern of each kind, and which cells it fills: 1 the lead sees the cell, 2 the trail. */
const KINDS = /** @type {Record<string, [string, (bits: number) => boolean]>} */ ({
  nobody: ["nobody", (bits) => (bits & 3) === 0],
  lead: ["lead", (bits) => (bits & 3) === 1],
  trail: ["trail", (bits) => (bits & 3) === 2],
  "not-lead": ["nobody", (bits) => !(bits & 1)],
  "not-trail": ["nobody", (bits) => !(bits & 2)],
});

export class BoardSight {
  /** @param {SceneBoard} board */
  constructor(board) {
    this.board = board;
    this.settings = JSON.parse(board.dataset.settings ?? "{}");
    this.shown = /** @type {keyof typeof SHADES} */ (board.dataset.shade ?? "crew");
    this.field = false;
    this.lines = true;
    this.box = true;
    /** @type {number[]} milliseconds from the hand's move to the shading drawn, newest last */
    this.times = [];
    this.asked = 0;
  }

  /** @param {string} name @returns {SVGGElement} a layer of the drawing */
  layer(name) {
    return /** @type {SVGGElement} */ (this.board.drawing.querySelector(`g.${name}`));
  }

  /**
   * Draw what is seen of a scene, quickly.
   * @param {any} scene
   * @param {number} [stamp] when the hand moved
   * @param {boolean} [shading] whether the floor is shaded anew too
   */
  quick(scene, stamp = 0, shading = true) {
    const seen = see(scene, this.settings);
    this.board.facing = { lead: seen.facing.lead.deg, trail: seen.facing.trail.deg };
    /** @param {number} x @param {number} y @returns {[number, number]} */
    const units = (x, y) => this.board.units(x, y);
    this.layer("looks").toggleAttribute("hidden", !this.lines);
    this.layer("box").toggleAttribute("hidden", !this.box);
    if (this.lines) drawLooks(this.layer("looks"), scene, seen, units);
    if (this.box) drawBox(this.layer("box"), scene, seen, units);
    if (shading) this.paint(scene, seen);
    this.turn(seen.facing);
    this.bars(seen);
    if (stamp) this.painted(stamp);
    return seen;
  }

  /** Note how long it took from the hand's move until the frame was painted. @param {number} stamp */
  painted(stamp) {
    const after = new MessageChannel();
    after.port1.onmessage = () => {
      this.times.push(performance.now() - stamp);
      if (this.times.length > 1000) this.times.shift();
    };
    after.port2.postMessage(0);
  }

  /**
   * Turn the eyes of both as they are reckoned; the mark was drawn with its tip first.
   * @param {any} facing
   */
  turn(facing) {
    for (const role of ["lead", "trail"]) {
      const mark = this.board.drawing.querySelector(`.token[data-id="${role}"] .facing`);
      const [tipX, tipY] = (mark?.getAttribute("d") ?? "").slice(1).split(/[ ,LHV]/).map(Number);
      if (!mark || !Number.isFinite(tipY)) continue;
      const turned = (facing[role].deg * Math.PI) / 180;
      const [x0, y0] = this.board.units(0, 0);
      const [x1, y1] = this.board.units(Math.cos(turned), Math.sin(turned));
      const by = ((Math.atan2(y1 - y0, x1 - x0) - Math.atan2(tipY, tipX)) * 180) / Math.PI;
      mark.setAttribute("transform", `rotate(${by.toFixed(1)})`);
    }
  }

  /** @param {any} scene @param {any} seen */
  paint(scene, seen) {
    const layer = this.layer("shade");
    const kinds = SHADES[this.shown];
    for (const path of layer.querySelectorAll("path")) {
      if (!kinds.some((kind) => kind === path.getAttribute("data-kind"))) path.remove();
    }
    if (!kinds.length) return;
    const floor = shade(scene, this.settings, { cell: this.settings.cell, field: this.field, seen });
    for (const kind of kinds) this.patch(layer, kind).setAttribute("d", runs(floor, KINDS[kind][1], (x, y) => this.board.units(x, y)));
  }

  /** @param {SVGGElement} layer @param {string} kind */
  patch(layer, kind) {
    const there = layer.querySelector(`path[data-kind="${kind}"]`);
    if (there) return there;
    const path = document.createElementNS(SVG, "path");
    path.setAttribute("data-kind", kind);
    path.setAttribute("class", `seen-by ${kind}`);
    path.setAttribute("fill", `url(#shade-${KINDS[kind][0]})`);
    layer.append(path);
    return path;
  }

  /** @param {any} seen the two bars a hand moves at once; the others wait for the drop */
  bars(seen) {
    bar("sight", seen.coverage, seen.coverage === null ? "" : seen.coverage.toFixed(2));
    const box = seen.boxed_in;
    const said = box.opposition_deg === null ? "" : `${Math.round(box.opposition_deg)}°, ${Math.round(100 * (box.share_between ?? 0))} % between`;
    bar("box", box.share_between, said);
  }

  /** @param {any} scene @param {"lead" | "trail"} role @param {any} seen what was reckoned of the scene */
  strip(scene, role, seen) {
    const svg = /** @type {SVGSVGElement | null} */ (document.querySelector("#strip svg"));
    const words = document.getElementById("strip-words");
    if (!svg || !words) return;
    words.textContent = drawStrip(svg, scene, role, this.settings, seen);
  }

  /**
   * Ask the program for the exact answer; an older one that comes late is dropped.
   * @param {any} scene
   * @param {Record<string, any>} more what the card also rests on
   */
  async exact(scene, more) {
    const mine = ++this.asked;
    let answer;
    try {
      answer = await fetch("/api/v1/see", { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ scene, ...more }) });
    } catch {
      speak("The workbench does not answer. Start tenbetween again; the court still shows what it reckons itself.", true);
      return null;
    }
    const found = await answer.json();
    if (mine !== this.asked) return null;
    if (!answer.ok) {
      speak(found.errors.map((/** @type {any} */ one) => `${one.where}: ${one.found}. ${one.do}.`).join(" "), true);
      return null;
    }
    return found;
  }
}

/**
 * @param {string} name
 * @param {number | null} share
 * @param {string} said
 */
function bar(name, share, said) {
  document.querySelector(`#bar-${name} .level`)?.setAttribute("width", String(100 * (share ?? 0)));
  const value = document.querySelector(`#bar-${name} .value`);
  if (value) value.textContent = said || "not to be told";
}

/**
 * The outline of all cells of a kind, as one run a row along the court.
 * @param {import("./sight.js").Shade} floor
 * @param {(bits: number) => boolean} has
 * @param {(x: number, y: number) => [number, number]} units
 */
export function runs(floor, has, units) {
  const { cols, rows, data, x0, y0, dx, dy } = floor;
  const parts = [];
  for (let row = 0; row < rows; row += 1) {
    let from = -1;
    for (let col = 0; col <= cols; col += 1) {
      const on = col < cols && has(data[col * rows + row]);
      if (on && from < 0) from = col;
      if (on || from < 0) continue;
      const [x, y] = units(x0 + from * dx, y0 + row * dy);
      const [X, Y] = units(x0 + col * dx, y0 + (row + 1) * dy);
      parts.push(`M${x.toFixed(1)} ${y.toFixed(1)}H${X.toFixed(1)}V${Y.toFixed(1)}H${x.toFixed(1)}Z`);
      from = -1;
    }
  }
  return parts.join("");
}
