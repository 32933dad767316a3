// @ts-check
// Which floor each official sees past the bodies, cell by cell: the twin of tenbetween.sight.shade. Feet.

import { DEG, ROLES, even, knownPart, see, wrapped } from "./seen.js";

/** @import { Place, Scene, Seen, Settings, Shade } from "./sight.js" */

/** Length and width of the floor. @param {Scene} scene @returns {[number, number]} */
export function floorOf({ court }) {
  const fiba = typeof court === "string" ? court.startsWith("fiba") : Math.abs((court?.length ?? 0) - 91.8635) < 0.01 && Math.abs(court?.width - 49.2126) < 0.01;
  if (fiba) return [28 / 0.3048, 15 / 0.3048];
  return typeof court === "object" && court ? [court.length, court.width] : [84, 50];
}

/**
 * Bits of a cell: 1 the lead sees it, 2 the trail does, 4 it is under a body (then 1 and 2 too: not counted as hidden).
 * @param {Scene} given @param {Settings} settings
 * @param {{ cell?: number, field?: boolean, seen?: Seen }} [how] field: only what lies in his usable field of view; seen:
 * what see() said of this scene, when it is at hand
 * @returns {Shade}
 */
export function shade(given, settings, { cell = 1, field = false, seen } = {}) {
  const scene = knownPart(given), [length, width] = floorOf(scene);
  const cols = Math.max(1, even(length / cell)), rows = Math.max(1, even(width / cell));
  const dx = length / cols, dy = width / rows, data = new Uint8Array(cols * rows), square = settings.radius * settings.radius;
  const found = { cols, rows, x0: 0, y0: 0, cell, dx, dy, data };
  const facing = field ? (seen ?? see(scene, settings)).facing : null;
  ROLES.forEach((role, n) => {
    const at = scene.officials[role], bit = 1 << n, most = settings.usable / 2 + 1e-9;
    const bodies = scene.players.map((one) => [one.x - at.x, one.y - at.y]);
    for (let i = 0, spot = 0; i < cols; i++) {
      const rx = ((i + 0.5) * length) / cols - at.x;
      for (let j = 0; j < rows; j++, spot++) {
        const ry = ((j + 0.5) * width) / rows - at.y;
        if (hidden(rx, ry, bodies, square)) continue;
        if (facing && Math.abs(wrapped(Math.atan2(ry, rx) - facing[role].deg / DEG)) * DEG > most) continue;
        data[spot] |= bit;
      }
    }
  });
  for (const one of scene.players) under(found, one, settings.radius, length, width);
  return found;
}

/** @param {number} rx @param {number} ry @param {number[][]} bodies from the official @param {number} square of the radius */
function hidden(rx, ry, bodies, square) {
  const long = Math.max(rx * rx + ry * ry, 1e-12);
  for (let k = 0; k < bodies.length; k++) {
    const bx = bodies[k][0], by = bodies[k][1];
    const along = Math.min(Math.max((rx * bx + ry * by) / long, 0), 1);
    const mx = along * rx - bx, my = along * ry - by;
    if (mx * mx + my * my < square) return true;
  }
  return false;
}

/** Mark the floor under a body. @param {Shade} found @param {Place} body @param {number} radius @param {number} length @param {number} width */
function under({ cols, rows, dx, dy, data }, body, radius, length, width) {
  for (let i = Math.max(0, Math.floor((body.x - radius) / dx) - 1); i < cols && i * dx < body.x + radius; i++) {
    for (let j = Math.max(0, Math.floor((body.y - radius) / dy) - 1); j < rows && j * dy < body.y + radius; j++) {
      const x = ((i + 0.5) * length) / cols - body.x, y = ((j + 0.5) * width) / rows - body.y;
      if (Math.sqrt(x * x + y * y) <= radius) data[i * rows + j] = 7;
    }
  }
}

/** Square feet hidden from both, floor under bodies left out. @param {Shade} found of shade() without field */
export function hiddenFloor({ data, dx, dy }) {
  return data.reduce((count, one) => count + (one & 3 ? 0 : 1), 0) * dx * dy;
}
