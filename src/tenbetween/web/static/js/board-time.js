// @ts-check
// A play in time: which step is under way and where everybody is, as the server reckons it (a test compares the two).

import { personIn } from "./board-state.js";

/** @typedef {import("./board-state.js").Play} Play */
/** @typedef {import("./board-state.js").Step} Step */

/** @param {Play} play @returns {number} seconds, holds counted */
export function duration(play) {
  return play.steps.reduce((sum, step) => sum + step.seconds + step.hold, 0);
}

/**
 * @param {Play} play
 * @param {number} t seconds after the beginning
 * @returns {[number, number]} the step under way, and how far the movement into it is, 0 to 1
 */
export function stepAt(play, t) {
  let left = Math.max(0, t);
  for (const [number, step] of play.steps.entries()) {
    if (left < step.seconds) return [number, left / step.seconds];
    left -= step.seconds;
    if (left < step.hold || number === play.steps.length - 1) return [number, 1];
    left -= step.hold;
  }
  return [0, 1];
}

/** @param {Play} play @param {number} number @returns {number} when the movement into a step begins */
export function begins(play, number) {
  return play.steps.slice(0, number).reduce((sum, step) => sum + step.seconds + step.hold, 0);
}

/**
 * Everybody between two steps; persons move and carry their new letter from the start.
 * @param {Play} play
 * @param {number} number
 * @param {number} part
 * @returns {Step}
 */
export function stepBetween(play, number, part) {
  const after = play.steps[number];
  if (part >= 1 || number === 0) return after;
  const before = play.steps[number - 1];
  const was = new Map(before.players.map((one) => [one.id, one]));
  const players = after.players.map((one) => {
    const from = was.get(one.id);
    return from ? { ...one, ...spot([from.x, from.y], after.via[one.id], [one.x, one.y], part) } : one;
  });
  const [x, y] = along([before.ball, ...(after.via.ball ?? []), after.ball], part);
  /** @param {"lead" | "trail"} role */
  const official = (role) => {
    const person = personIn(after, role);
    const from = before.officials[personIn(before, "lead") === person ? "lead" : "trail"];
    const to = after.officials[role];
    return { ...to, ...spot([from.x, from.y], after.via[person], [to.x, to.y], part) };
  };
  return { ...after, players, ball: [x, y], officials: { lead: official("lead"), trail: official("trail") } };
}

/**
 * @param {[number, number]} from
 * @param {[number, number][] | undefined} bends
 * @param {[number, number]} to
 * @param {number} part
 */
function spot(from, bends, to, part) {
  const [x, y] = along([from, ...(bends ?? []), to], part);
  return { x, y };
}

/**
 * The point at a part of the length of a line through points.
 * @param {[number, number][]} points
 * @param {number} part
 * @returns {[number, number]}
 */
export function along(points, part) {
  const lengths = points.slice(1).map((to, n) => Math.hypot(to[0] - points[n][0], to[1] - points[n][1]));
  let left = Math.max(0, Math.min(1, part)) * lengths.reduce((sum, one) => sum + one, 0);
  for (const [n, length] of lengths.entries()) {
    if (left <= length && length > 0) {
      const share = left / length;
      return [points[n][0] + (points[n + 1][0] - points[n][0]) * share, points[n][1] + (points[n + 1][1] - points[n][1]) * share];
    }
    left -= length;
  }
  return points[points.length - 1];
}
