// @ts-check
// What two officials see, drawn over the plan: looks and the box. Shapes, dashes and classes as in the
// server's drawing (court-see.css has the colours). Elements are kept from move to move; only attributes change.

import { TAU, bearings, knownPart } from "./seen.js";
import { floorOf } from "./shade.js";

/** @import { Cone, Place, Player, Put, Scene, Seen, ToUnits } from "./sight.js" */
/** @typedef {[number, number]} Point */

const SVG = "http://www.w3.org/2000/svg";
const PIECES = 32;
/** @type {WeakMap<Element, Map<string, Element>>} */
const kept = new WeakMap();

/** Begin to draw into a group: a function that puts an element by name, and one that hides what was not put. @param {Element} g */
export function drawing(g) {
  const parts = kept.get(g) ?? new Map();
  if (!kept.has(g)) g.replaceChildren();
  kept.set(g, parts);
  const used = new Set();
  /** @type {Put} */
  const put = (name, tag, attributes, words) => {
    const one = parts.get(name) ?? g.appendChild(document.createElementNS(SVG, tag));
    parts.set(name, one);
    used.add(name);
    one.removeAttribute("display");
    for (const [key, value] of Object.entries(attributes)) {
      const text = typeof value === "number" ? String(Math.round(value * 100) / 100) : value;
      if (one.getAttribute(key) !== text) one.setAttribute(key, text);
    }
    if (words !== undefined && one.textContent !== words) one.textContent = words;
    return one;
  };
  const done = () => parts.forEach((one, name) => used.has(name) || one.setAttribute("display", "none"));
  return { put, done };
}

/** @param {number[][]} points */
const path = (points) => "M" + points.map(([x, y]) => `${Math.round(x * 100) / 100} ${Math.round(y * 100) / 100}`).join("L");
/** @param {number[]} from @param {number[]} to */
const apart = (from, to) => Math.hypot(to[0] - from[0], to[1] - from[1]);
/** @param {ToUnits} toUnits drawn half widths of a body and of an official, as the server's */
function sizes(toUnits) {
  const scale = apart(toUnits(0, 0), toUnits(1, 0));
  return { scale, body: Math.max(8, 0.9 * scale), official: Math.max(12.5, 1.9 * scale) };
}

/** A line from each official to each matchup. @param {Element} g @param {Scene} given @param {Seen} seen @param {ToUnits} toUnits */
export function drawLooks(g, given, seen, toUnits) {
  const { put, done } = drawing(g), { body, official } = sizes(toUnits);
  const places = new Map(knownPart(given).players.map((one) => [one.id, toUnits(one.x, one.y)]));
  for (const { official: role, matchup, cause, screened_by, hidden_by } of seen.looks) {
    const at = toUnits(given.officials[role].x, given.officials[role].y), name = `${role} ${matchup.join("-")}`;
    const [a, d] = matchup.map((id) => places.get(id) ?? at), middle = [(a[0] + d[0]) / 2, (a[1] + d[1]) / 2];
    const long = apart(at, middle) || 1, ux = (middle[0] - at[0]) / long, uy = (middle[1] - at[1]) / long;
    /** @param {number} far @returns {number[]} */
    const along = (far) => [at[0] + ux * far, at[1] + uy * far];
    const kind = ["open", "straight-lined", "screened"].includes(cause) ? cause : "other";
    const line = path([along(Math.min(official * 1.1, long)), middle]);
    put(`${name} under`, "path", { class: "under", d: line });
    put(name, "path", { class: `look ${kind}`, d: line, "data-official": role, "data-matchup": matchup.join("-") });
    if (kind === "open") {
      const [cx, cy] = along(Math.max(0, long - 5));
      put(`${name} ring`, "circle", { class: "look-end open", cx, cy, r: 4.4 });
    } else if (kind === "straight-lined") {
      const [x, y] = along(Math.min(long, Math.max(0, Math.min(apart(at, a), apart(at, d)) - body - 5)));
      put(`${name} bar`, "path", { class: "look-end straight-lined", d: path([[x + uy * 7.5, y - ux * 7.5], [x - uy * 7.5, y + ux * 7.5]]) });
    } else if (kind === "screened") {
      const [x, y] = places.get(screened_by ?? Object.entries(hidden_by).sort((one, two) => two[1] - one[1])[0]?.[0]) ?? at, half = body + 4;
      put(`${name} square`, "rect", { class: "look-end screened", x: x - half, y: y - half, width: 2 * half, height: 2 * half });
    }
  }
  done();
}

/** The box as what two pairs of eyes hold: a cone of each round all players, what lies in both, rings round who is not held. @param {Element} g @param {Scene} given @param {Seen} seen @param {ToUnits} toUnits */
export function drawBox(g, given, seen, toUnits, radius = 0.9) {
  const { put, done } = drawing(g), { scale, body, official } = sizes(toUnits), scene = knownPart(given);
  const { lead, trail } = scene.officials, { behind, behind_of } = seen.boxed_in;
  const cones = [coneOf(lead, scene.players.filter((one) => !behind_of.lead.includes(one.id)), radius),
    coneOf(trail, scene.players.filter((one) => !behind_of.trail.includes(one.id)), radius)];
  /** @param {number[][]} points */
  const drawn = (points) => path(points.map(([x, y]) => toUnits(x, y)));
  if (!g.ownerDocument.getElementById("box-shared")) {
    const dots = put("dots", "pattern", { id: "box-shared", patternUnits: "userSpaceOnUse", width: 10, height: 10 });
    for (const at of ["2.5", "7.5"]) {
      const dot = dots.appendChild(document.createElementNS(SVG, "circle"));
      for (const [key, value] of [["class", "dot"], ["cx", at], ["cy", at], ["r", "1"]]) dot.setAttribute(key, value);
    }
  }
  const both = cones[0] && cones[1] ? shared(shared(outline(cones[0]), outline(cones[1])), nearFloor(scene)) : [];
  if (both.length > 2) put("shared", "path", { class: "held-by-both", fill: "url(#box-shared)", d: `${drawn(both)}Z` });
  cones.forEach((one, n) => {
    if (!one) return;
    const role = n ? "trail" : "lead", clear = Math.min((official * 1.15) / scale, one.reach / 2);
    for (const [side, turn] of [["first", one.first], ["last", one.last]]) {
      put(`${role} ${side}`, "path", { class: `edge ${role}`, d: drawn([point(one, +turn, clear), point(one, +turn, one.reach)]) });
    }
    for (let bow = 0; bow <= n; bow++) put(`${role} bow ${bow}`, "path", { class: `bow of-${role} lead`, d: drawn(arc(one, clear + 1.6 + bow * 0.9)) });
  });
  for (const one of scene.players) {
    const lost = behind.includes(one.id), [cx, cy] = toUnits(one.x, one.y);
    const held = (lead.x - one.x) * (trail.x - one.x) + (lead.y - one.y) * (trail.y - one.y) <= 1e-9;
    if (lost) for (const by of [3.4, 7]) put(`${one.id} ${by}`, "circle", { class: "ring behind", cx, cy, r: body + by, "data-id": one.id });
    else if (!held) put(one.id, "circle", { class: "ring outside", cx, cy, r: body + 5, "data-id": one.id });
  }
  done();
}

/** The floor and three feet round it, where somebody may stand. @param {Scene} scene @returns {Point[]} */
function nearFloor(scene) {
  const [x, y] = floorOf(scene);
  return [[-3, -3], [x + 3, -3], [x + 3, y + 3], [-3, y + 3]];
}
/** @param {Cone} cone @param {number} turn @param {number} far @returns {Point} */
const point = ({ x, y }, turn, far) => [x + far * Math.cos(turn), y + far * Math.sin(turn)];
/** @param {Cone} cone @param {number} far */
const arc = (cone, far) => Array.from({ length: PIECES + 1 }, (_, i) => point(cone, cone.first + ((cone.last - cone.first) * i) / PIECES, far));
/** @param {Cone} cone @returns {Point[]} */
const outline = (cone) => [[cone.x, cone.y], ...arc(cone, cone.reach)];

/** The narrowest cone round bodies, less than a half turn. @param {Place} at @param {Player[]} players @param {number} radius @returns {Cone | null} */
export function coneOf(at, players, radius) {
  const spans = bearings(at, players, radius).filter((one) => one.distance > 0);
  if (!spans.length) return null;
  /** @param {number} start @param {number} turn how far to the left; a hair to the right is the same direction */
  const ahead = (start, turn) => {
    const found = (((turn - start) % TAU) + TAU) % TAU;
    return found > TAU - 1e-9 ? 0 : found;
  };
  /** @param {number} start */
  const sweep = (start) => Math.max(...spans.map((one) => ahead(start, one.direction)));
  const start = spans.map((one) => one.direction).reduce((best, one) => (sweep(one) < sweep(best) ? one : best));
  let low = Math.min(...spans.map((one) => ahead(start, one.direction) - one.half));
  let high = Math.max(...spans.map((one) => ahead(start, one.direction) + one.half));
  const over = Math.max(0, high - low - Math.PI * 0.99) / 2;
  [low, high] = [low + over, high - over];
  return { x: at.x, y: at.y, first: start + low, last: start + high, reach: Math.max(...spans.map((one) => one.distance)) + 3 };
}

/** What lies in both of two convex outlines. @param {Point[]} one @param {Point[]} other @returns {Point[]} */
function shared(one, other) {
  return other.reduce((points, first, i) => {
    const last = other[(i + 1) % other.length];
    /** @param {Point} p */
    const side = (p) => (last[0] - first[0]) * (p[1] - first[1]) - (last[1] - first[1]) * (p[0] - first[0]);
    return points.flatMap((here, n) => {
      const before = points.at(n - 1) ?? here, now = side(here), was = side(before), part = was / (was - now);
      /** @type {Point[]} */
      const cut = now >= 0 !== was >= 0 ? [[before[0] + (here[0] - before[0]) * part, before[1] + (here[1] - before[1]) * part]] : [];
      return now >= 0 ? [...cut, here] : cut;
    });
  }, one);
}
