// @ts-check
// What an official sees from where he stands, as a strip: bodies as uprights at their bearings, nearer ones in front.
// Flat discs only: how tall an upright is drawn tells near from far and nothing else.

import { drawing } from "./overlay.js";
import { DEG, bearings, covered, knownPart, see, wrapped } from "./seen.js";

/** @import { Bearing, Put, Role, Scene, Seen, Settings, Upright } from "./sight.js" */

const WIDE = 600, HIGH = 120, EDGE = 20, EYES = 58, FEET = 116;
export const FLAT = "Bodies are flat discs: heads, arms and height are not modelled.";

/** Visible share of each known player, and who hides most of him. @param {Scene} given @param {Role} role @param {Settings} settings @returns {Record<string, { share: number, by: string }>} */
export function visible(given, role, settings) {
  const players = knownPart(given).players, seen = bearings(given.officials[role], players, settings.radius);
  const inside = seen.findIndex((one) => one.power <= 0);
  return Object.fromEntries(players.map((player, i) => {
    if (inside >= 0) return [player.id, seen[i].power <= 0 ? { share: 1, by: "" } : { share: 0, by: players[inside].id }];
    const half = seen[i].half, pieces = players.map((_, j) => (j === i ? [] : hiding(seen, i, j, settings.radius)));
    const much = pieces.map((one) => one.reduce((total, [start, end]) => total + end - start, 0));
    // Of equal ones the nearer: it is the one he sees there.
    const most = much.reduce((top, one, j) => (one > much[top] + 1e-9 || (one > much[top] - 1e-9 && seen[j].distance < seen[top].distance) ? j : top), 0);
    const share = Math.min(1, Math.max(0, 1 - covered(pieces.flat(), -half, half) / (2 * half)));
    return [player.id, { share, by: share < 1 ? players[most].id : "" }];
  }));
}

/** The parts of body i's angle, from its middle, where body j is met first. @param {Bearing[]} seen @param {number} i @param {number} j @param {number} radius */
function hiding(seen, i, j, radius) {
  const one = seen[i], other = seen[j], turn = wrapped(other.direction - one.direction);
  const low = Math.max(-one.half, turn - other.half), high = Math.min(one.half, turn + other.half);
  if (high <= low) return [];
  const gx = other.dx - one.dx, gy = other.dy - one.dy, length = Math.sqrt(gx * gx + gy * gy);
  if (!(length < 2 * radius && length > 0)) return other.power < one.power ? [[low, high]] : [];
  // Outlines that cross: who is met first may change there.
  const rise = Math.sqrt(Math.max(0, radius * radius - (length * length) / 4)) / length;
  const cuts = [1, -1].map((sign) => {
    const x = one.dx + gx / 2 - sign * rise * gy, y = one.dy + gy / 2 + sign * rise * gx;
    return Math.min(Math.max(wrapped(Math.atan2(y, x) - one.direction), low), high);
  }).sort((a, b) => a - b);
  /** @param {number} distance @param {number} off */
  const entry = (distance, off) => distance * Math.cos(off) - Math.sqrt(Math.max(0, radius * radius - (distance * Math.sin(off)) ** 2));
  return [[low, cuts[0]], cuts, [cuts[1], high]].filter(([start, end]) => {
    const middle = (start + end) / 2;
    return end > start && entry(other.distance, middle - turn) < entry(one.distance, middle);
  });
}

/** The strip of what he sees; returns it in words. @param {SVGSVGElement} svg @param {Scene} given @param {Role} role @param {Settings} settings @param {Seen} [seen] what see() said of this scene */
export function drawStrip(svg, given, role, settings, seen = see(given, settings)) {
  const { put, done } = drawing(svg), scene = knownPart(given), at = scene.officials[role], facing = seen.facing[role].deg / DEG;
  const field = Math.min(180, settings.usable / 2), perDegree = (WIDE / 2 - EDGE) / field, shares = visible(scene, role, settings);
  const uprights = bearings(at, scene.players, settings.radius).map((one, i) => ({
    ...scene.players[i], ...shares[scene.players[i].id],
    off: wrapped(one.direction - facing) * DEG, half: one.half * DEG, distance: one.distance,
  }));
  const inView = uprights.filter((one) => Math.abs(one.off) - one.half < field).sort((a, b) => b.off - a.off);
  const [ball] = bearings(at, [{ id: "", team: "", x: scene.ball[0], y: scene.ball[1] }], 0.4);
  const ballOff = wrapped(ball.direction - facing) * DEG, holder = holderOf(scene);
  const words = sentence(role, uprights, inView, Math.abs(ballOff) <= field ? ballOff : null, holder);
  /** @param {number} off */
  const across = (off) => WIDE / 2 - Math.min(Math.max(off, -field), field) * perDegree;
  /** @param {number} distance @param {number} feet below his eyes, or above */
  const down = (distance, feet) => Math.min(FEET, Math.max(EYES - 16, EYES + 0.45 * perDegree * Math.atan(feet / Math.max(distance, 0.1)) * DEG));

  for (const [name, value] of [["viewBox", `0 0 ${WIDE} ${HIGH}`], ["role", "img"], ["aria-label", words]]) svg.setAttribute(name, value);
  svg.classList.add("strip");
  put("ground", "rect", { class: "ground", x: EDGE, y: EYES, width: WIDE - 2 * EDGE, height: HIGH - EYES });
  for (const [name, turn, top] of /** @type {[string, number, number][]} */ ([["edge", field, 2], ["sharp", settings.sharp / 2, EYES]])) {
    for (const side of [1, -1]) put(`${name} ${side}`, "path", { class: `field ${name}`, d: `M${across(side * turn)} ${top}V${HIGH}` });
  }
  const hatch = `${svg.id || "strip"}-hatch`, lines = drawing(put("hatch", "pattern", { id: hatch, patternUnits: "userSpaceOnUse", width: 6, height: 6, patternTransform: "rotate(45)" }));
  for (const [name, width] of [["paper", 6], ["stroke", 2]]) lines.put(`${name}`, "rect", { class: name, width, height: 6 });
  // The farthest first; the ball is before whoever holds it.
  const nearer = ball.distance - (holder ? settings.radius : 0);
  const order = [...inView, ...(Math.abs(ballOff) <= field ? [null] : [])].sort((a, b) => (b?.distance ?? nearer) - (a?.distance ?? nearer));
  const bodies = drawing(put("bodies", "g", {}));
  order.forEach((one, n) => {
    const r = Math.max(3, ball.half * DEG * perDegree), x = one ? across(one.off + one.half) : across(ballOff) - r;
    const y = one ? down(one.distance, -1) : down(ball.distance, 2.6) - r, width = one ? Math.max(1.5, across(one.off - one.half) - x) : 2 * r;
    const height = one ? Math.max(6, down(one.distance, 5.6) - y) : 2 * r, rx = one ? (one.team === "a" ? Math.min(8, width / 2) : 0) : r;
    bodies.put(`${n}`, "rect", { class: one ? `upright ${one.team}` : "ball", "data-id": one?.id ?? "ball", fill: one?.team === "b" ? `url(#${hatch})` : "currentColor", x, y, width, height, rx });
  });
  bodies.done();
  const letters = drawing(put("labels", "g", {}));
  labels(inView, across, letters.put);
  letters.done();
  done();
  return words;
}

/** Names over the uprights, in the first row where there is room. @param {Upright[]} inView from his left @param {(off: number) => number} across @param {Put} put */
function labels(inView, across, put) {
  const ends = [0, 0, 0];
  for (const one of inView) {
    const middle = (across(one.off + one.half) + across(one.off - one.half)) / 2, hidden = one.share < 0.5;
    const words = hidden ? `${one.id} hidden by ${one.by}` : one.id, half = words.length * 3.1 + 2;
    const x = Math.min(Math.max(middle, half), WIDE - half), free = ends.findIndex((end) => end <= x - half);
    const row = free < 0 ? ends.indexOf(Math.min(...ends)) : free;
    ends[row] = x + half;
    put(one.id, "text", { class: hidden ? "name hidden" : "name", x, y: 12 + 13 * row, "text-anchor": "middle" }, words);
  }
}

/** Who holds the ball: the nearest within a foot and a half. @param {Scene} scene */
function holderOf({ players, ball }) {
  const near = players.map((one) => ({ id: one.id, far: Math.hypot(one.x - ball[0], one.y - ball[1]) })).sort((a, b) => a.far - b.far)[0];
  return near && near.far <= 1.5 ? near.id : "";
}

/** @param {Role} role @param {Upright[]} all @param {Upright[]} inView from his left @param {number | null} ballOff @param {string} holder */
function sentence(role, all, inView, ballOff, holder) {
  const parts = inView.map((one) => ({ off: one.off, words: one.id + (one.id === holder ? " with the ball" : "") + hiddenWords(one) }));
  if (ballOff !== null && !inView.some((one) => one.id === holder)) parts.push({ off: ballOff, words: "the ball" });
  const said = parts.sort((a, b) => b.off - a.off).map((one) => one.words).join(", ");
  const out = all.filter((one) => !inView.includes(one)).map((one) => one.id);
  return [`What the ${role} sees. ${said ? `From his left: ${said}.` : "Nobody is in his field of view."}`,
    ...(out.length ? [`Out of his field of view: ${out.join(", ")}.`] : []), FLAT].join(" ");
}

/** @param {Upright} one */
function hiddenWords({ share, by }) {
  const how = share > 0.9 ? "" : share > 0.6 ? "partly " : share > 0.4 ? "half " : share > 0.01 ? "mostly " : "wholly ";
  return how && ` (${how}hidden by ${by})`;
}
