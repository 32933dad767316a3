// @ts-check
// What two officials see of players as flat discs: the twin of tenbetween.sight, for while one drags. The server's
// answer decides; a test holds the two together, number for number and letter for letter. Lengths in feet.

/** @import { Bearing, BoxedIn, Look, Official, Parts, Place, Player, Role, Scene, Seen, Settings } from "./sight.js" */

export const TAU = 2 * Math.PI;
export const DEG = 180 / Math.PI;
/** @type {Role[]} */
export const ROLES = ["lead", "trail"];
const TINY = 1e-12;
const JUST = 1e-9;
const OPEN = 0.75;

/** @param {number} x @param {number} y */
const long = (x, y) => Math.sqrt(x * x + y * y);
/** @param {number} value @param {number} low @param {number} high */
const clip = (value, low, high) => Math.min(Math.max(value, low), high);
/** @param {number} x whole number, halves to the even one @returns {number} */
export const even = (x) => (Math.abs(x % 1) === 0.5 ? 2 * Math.round(x / 2) : Math.round(x));
/** @param {number} x nine decimals: what differs by less is equal */
const nine = (x) => even(x * 1e9) / 1e9;
/** @param {number} x @param {number} by */
const modulo = (x, by) => (x % by < 0 ? (x % by) + by : x % by);
/** @param {number} angle @returns {number} within half a turn */
export const wrapped = (angle) => angle - TAU * even(angle / TAU);
/** @param {number} value @param {number} full @param {number} none */
const falling = (value, full, none) => clip((none - value) / (none - full), 0, 1);
/** @param {number[]} numbers */
const sum = (numbers) => numbers.reduce((total, one) => total + one, 0);

/** @param {number} x @param {number} digits none or one; halves to the even one, as the server writes them */
function written(x, digits) {
  const tens = digits ? 10 : 1;
  return (Math.abs((x * (digits ? 2 : 1)) % 1) === 0.5 ? even(x * tens) / tens : x).toFixed(digits);
}

/** The scene without players whose place is not known, and without their matchups. @param {Scene} scene @returns {Scene} */
export function knownPart(scene) {
  const players = scene.players.filter((one) => Number.isFinite(one.x) && Number.isFinite(one.y));
  const there = new Set(players.map((one) => one.id));
  return { ...scene, players, matchups: scene.matchups.filter((one) => there.has(one[0]) && there.has(one[1])) };
}

/** How bodies stand in view of a place. @param {Place} at @param {Player[]} players @param {number} radius @returns {Bearing[]} */
export function bearings(at, players, radius) {
  return players.map((one) => {
    const dx = one.x - at.x, dy = one.y - at.y, distance = long(dx, dy);
    const half = Math.asin(Math.min(1, radius / Math.max(distance, TINY)));
    return { dx, dy, distance, direction: Math.atan2(dy, dx), half, power: (distance - radius) * (distance + radius) };
  });
}

/** How much of [low, high] intervals cover together. @param {number[][]} parts @param {number} low @param {number} high */
export function covered(parts, low, high) {
  let total = 0, reach = low;
  for (const [start, end] of parts.filter(([s, e]) => e > s && e > low && s < high).sort((a, b) => a[0] - b[0])) {
    const last = Math.min(end, high);
    total += Math.max(0, last - Math.max(start, reach));
    reach = Math.max(reach, last);
  }
  return total;
}

/** The look before facing at two of the bodies. @param {Bearing[]} seen @param {number} a @param {number} d @param {Settings} settings @returns {Parts} */
function partsOf(seen, a, d, settings) {
  const one = seen[a], two = seen[d], turn = wrapped(two.direction - one.direction), apart = Math.abs(turn);
  const within = one.power <= 0 || two.power <= 0 || (one.dx === two.dx && one.dy === two.dy);
  const window = apart > TINY && apart < Math.PI - JUST, low = -apart / 2, high = apart / 2;
  const before = seen.map((body, k) => (k === a || k === d ? [Infinity, -Infinity]
    : body.power <= 0 ? [-Math.PI, Math.PI] : beforeLine(seen, a, d, k, turn, settings.radius)));
  const hides = before.map(([start, end]) => window ? Math.min(1, Math.max(0, Math.min(end, high) - Math.max(start, low)) / apart) : 0);
  const clear = window ? clip(1 - covered(before, low, high) / apart, 0, 1) : apart <= TINY ? 1 : 0;
  const left = low + (turn >= 0 ? one.half : two.half), right = Math.max(left, high - (turn >= 0 ? two.half : one.half));
  const distance = long((one.dx + two.dx) / 2, (one.dy + two.dy) / 2);
  return {
    openness: within ? 0 : Math.min(1, apart / (one.half + two.half)),
    clear, hides, distance, apart,
    gap: window && !within ? Math.max(0, right - left - covered(before, left, right)) : 0,
    closeness: closeness(distance, settings),
    width: falling(apart * DEG, settings.wide_full, settings.wide_none),
    middle: wrapped(one.direction + turn / 2),
  };
}

/** Where a third body before the line of two starts and ends, from the window's middle. @param {Bearing[]} seen @param {number} a @param {number} d @param {number} k @param {number} turn @param {number} radius */
function beforeLine(seen, a, d, k, turn, radius) {
  const one = seen[a], body = seen[k], ux = seen[d].dx - one.dx, uy = seen[d].dy - one.dy, length = long(ux, uy) || 1;
  const nx = -uy / length, ny = ux / length, reach = one.dx * nx + one.dy * ny, side = reach > 0 ? -1 : 1;
  const height = side * ((body.dx - one.dx) * nx + (body.dy - one.dy) * ny);
  if (height <= -radius) return [Infinity, -Infinity];
  const middle = one.direction + turn / 2, centre = wrapped(body.direction - middle);
  const ends = [centre - body.half, centre + body.half];
  if (height >= radius) return ends;
  // It stands across the line: an end whose tangent touches beyond the line moves to where outline and line cross.
  const tx = side * nx, ty = side * ny, crossing = Math.sqrt(Math.max(0, radius * radius - height * height));
  const root = Math.sqrt(Math.max(body.power, 0)), scale = root / Math.max(body.distance, TINY) ** 2;
  for (const [place, sign] of [[0, -1], [1, 1]]) {
    const touchX = scale * (body.dx * root - sign * body.dy * radius), touchY = scale * (body.dy * root + sign * body.dx * radius);
    if (Math.abs(reach) + touchX * tx + touchY * ty >= 0) continue;
    const x = body.dx - height * tx + sign * crossing * ty, y = body.dy - height * ty - sign * crossing * tx;
    ends[place] = wrapped(Math.atan2(y, x) - middle);
  }
  return ends;
}

/** @param {number} distance @param {Settings} settings */
function closeness(distance, settings) {
  let found = 1 - falling(distance, settings.near_none, settings.near_full);
  for (const name of ["far", "contact"]) {
    const begins = settings[`${name}_begins`], half = settings[`${name}_half`];
    if (begins != null && half != null) found /= 1 + Math.max(0, (distance - begins) / (half - begins)) ** 2;
  }
  return found;
}

/** @param {number} middle @param {number} apart @param {number} facing @param {Settings} settings angles in radians */
function inField(middle, apart, facing, settings) {
  const off = (Math.abs(wrapped(middle - facing)) + apart / 2) * DEG, sharp = settings.sharp / 2, usable = settings.usable / 2;
  return off <= usable + JUST ? 1 - (1 - settings.edge) * clip((off - sharp) / (usable - sharp), 0, 1) : 0;
}

/** @param {Parts} one @param {number} facing @param {Settings} settings */
const valueOf = (one, facing, settings) =>
  one.openness * one.clear * one.closeness * one.width * inField(one.middle, one.apart, facing, settings);

/** The facing with the highest weighted sum; of equal ones nearer to the ball, then better for who is named first. @param {Parts[]} looks @param {number[]} weights @param {number} toBall @param {Settings} settings */
function bestFacing(looks, weights, toBall, settings) {
  let best = toBall, first = [-Infinity, 0, 0];
  /** @type {((one: Parts) => number)[]} */
  const turns = [() => 0, ...[settings.sharp, settings.usable].flatMap((field) => [1, -1].map(
    (sign) => (/** @type {Parts} */ one) => sign * (field / 2 / DEG - one.apart / 2)))];
  for (const facing of [toBall, ...turns.flatMap((turn) => looks.map((one) => one.middle + turn(one)))]) {
    const values = looks.map((one) => valueOf(one, facing, settings));
    const rank = [nine(sum(values.map((value, i) => value * weights[i]))), -nine(Math.abs(wrapped(facing - toBall))),
      nine(sum(values.map((value, i) => value / (i + Math.SQRT2))))];
    const at = rank.findIndex((value, i) => value !== first[i]);
    if (at >= 0 && rank[at] > first[at]) [best, first] = [facing, rank];
  }
  return best;
}

/** What the crew sees, with every part and reason. @param {Scene} given @param {Settings} settings @returns {Seen} */
export function see(given, settings) {
  const scene = knownPart(given), weights = scene.matchups.map((one) => settings.weights[one[2] ?? "off_ball"]);
  const stood = ROLES.map((role) => looksOf(scene, role, weights, settings));
  const values = stood.map((one) => one.looks.map((look) => look.value)), total = sum(weights);
  /** @param {(...values: number[]) => number} pick */
  const held = (pick) => (total > 0 ? sum(weights.map((weight, i) => weight * pick(values[0][i], values[1][i]))) / total : null);
  return {
    looks: stood.flatMap((one) => one.looks),
    coverage: held(Math.max),
    double_coverage: held(Math.min),
    blind_spots: scene.matchups.filter((_, i) => Math.max(values[0][i], values[1][i]) < settings.blind_below).map((one) => one.slice(0, 2)),
    boxed_in: boxedIn(scene, settings),
    facing: { lead: stood[0].facing, trail: stood[1].facing },
  };
}

/** @param {Scene} scene all known @param {Role} role @param {number[]} weights @param {Settings} settings */
function looksOf(scene, role, weights, settings) {
  const at = scene.officials[role], seen = bearings(at, scene.players, settings.radius);
  const place = new Map(scene.players.map((one, i) => [one.id, i]));
  const parts = scene.matchups.map(([a, d]) => partsOf(seen, place.get(a) ?? 0, place.get(d) ?? 0, settings));
  const given = at.facing ?? null, toBall = Math.atan2(scene.ball[1] - at.y, scene.ball[0] - at.x);
  const facing = given === null ? bestFacing(parts, weights, toBall, settings) : given / DEG;
  const within = scene.players[seen.findIndex((one) => one.distance <= settings.radius)]?.id ?? "";
  const looks = parts.map((one, i) => lookOf(scene, role, scene.matchups[i], one, facing, within, settings));
  return { looks, facing: { deg: given ?? modulo(facing * DEG, 360), given: given !== null } };
}

/** @param {Scene} scene @param {Role} role @param {string[]} matchup @param {Parts} found @param {number} facing @param {string} within @param {Settings} settings @returns {Look} */
function lookOf(scene, role, matchup, found, facing, within, settings) {
  const { openness, clear, closeness, width, distance } = found, most = found.hides.reduce((top, share, k) => (share > found.hides[top] ? k : top), 0);
  const by = found.hides[most] > JUST ? scene.players[most].id : "";
  const [a, d] = matchup.map((id) => scene.players.find((one) => one.id === id));
  const said = {
    openness, clear, closeness, width, distance,
    in_field: inField(found.middle, found.apart, facing, settings),
    apart_deg: found.apart * DEG,
  };
  const more = { off: Math.abs(wrapped(found.middle - facing)) * DEG, by, within, same: a?.x === d?.x && a?.y === d?.y };
  return {
    official: role, matchup: matchup.slice(0, 2), ...said,
    gap_deg: found.gap * DEG,
    value: valueOf(found, facing, settings),
    screened_by: clear < settings.screened_below ? by || null : null,
    hidden_by: Object.fromEntries(found.hides.flatMap((share, k) => (share > JUST ? [[scene.players[k].id, share]] : []))),
    straight_lined: openness < settings.straight_below,
    ...reason(matchup, said, more),
  };
}

/** The weakest part, in a word and as a sentence. @param {string[]} matchup @param {Record<string, number>} part @param {{off: number, by: string, within: string, same: boolean}} more */
function reason(matchup, part, more) {
  const pair = `${matchup[0]} and ${matchup[1]}`, off = written(more.off, 0);
  /** @type {[number, string, string][]} */
  const named = [
    [part.width, "between them", part.apart_deg >= 120 ? `The official stands between ${pair}, ${written(part.apart_deg, 0)}° apart: not both at one look.` : `${pair} are too far apart for one look: ${written(part.apart_deg, 0)}°.`],
    more.off > 90 ? [part.in_field, "behind the back", `${pair} are behind the official's back, ${off}° from where he faces.`]
      : [part.in_field, "out of the field of view", `${pair} are at or beyond the edge of the field of view, ${off}° from where the official faces.`],
    [part.openness, "straight-lined", `${pair} are ${part.openness < 0.5 ? "straight-lined" : "nearly in line"}: the near body hides part of the far one and the space between them.`],
    [part.clear, "screened", `${more.by || "Another body"} ${part.clear < 0.5 ? "screens" : "partly screens"} ${pair}: ${written(100 * (1 - part.clear), 0)} % of the space between them is hidden.`],
    part.distance < 10 ? [part.closeness, "too close", `${pair} are too close to take in: ${written(part.distance, 1)} ft.`]
      : [part.closeness, "too far", `${pair} are far away: ${written(part.distance, 0)} ft.`],
  ];
  const [least, cause, why] = named.reduce((weakest, one) => (one[0] < weakest[0] ? one : weakest));
  if (more.within) return { cause: "no room", why: `The official stands where ${more.within} stands: there is nothing to see from there.` };
  if (more.same) return { cause: "no room", why: `${pair} stand on the same spot: no space between them can be seen.` };
  return least >= OPEN ? { cause: "open", why: `${pair} are open: both bodies and the space between them are in view.` } : { cause, why };
}

/** How the crew has the players between them. @param {Scene} scene all known @param {Settings} settings @returns {BoxedIn} */
function boxedIn(scene, settings) {
  const { players, officials: { lead, trail } } = scene, count = players.length;
  const lost = { lead: behindOf(lead, players), trail: behindOf(trail, players) };
  const behind = players.map((one) => one.id).filter((id) => lost.lead.includes(id) || lost.trail.includes(id));
  if (!count) return { ok: false, opposition_deg: null, share_between: null, behind, behind_of: lost };
  const x = sum(players.map((one) => one.x)) / count, y = sum(players.map((one) => one.y)) / count;
  const ax = lead.x - x, ay = lead.y - y, bx = trail.x - x, by = trail.y - y;
  const nowhere = (!ax && !ay) || (!bx && !by), angle = nowhere ? null : Math.atan2(Math.abs(ax * by - ay * bx), ax * bx + ay * by) * DEG;
  const share = players.filter((one) => (lead.x - one.x) * (trail.x - one.x) + (lead.y - one.y) * (trail.y - one.y) <= JUST).length / count;
  const ok = angle !== null && angle >= settings.opposition_least - JUST && share >= settings.between_least - JUST && !behind.length;
  return { ok, opposition_deg: angle, share_between: share, behind, behind_of: lost };
}

/** Who is behind when he turns so that as many as can be are before him. @param {Official} at @param {Player[]} players @returns {string[]} */
function behindOf(at, players) {
  const away = bearings(at, players, 0).map((one, i) => ({ ...one, i })).filter((one) => one.distance > 0);
  /** @type {{ ones: number[], rank: number[] } | null} */
  let best = null;
  for (const from of away) {
    const out = away.filter((one) => {
      const ahead = modulo(one.direction - from.direction, TAU);
      return ahead <= TAU - JUST && ahead >= Math.PI - JUST;
    });
    // As few as can be; of equal ones the farther away, then the ones named last.
    const rank = [out.length, -nine(sum(out.map((one) => one.distance))), ...out.map((one) => -one.i)];
    const at = best ? rank.findIndex((value, i) => value !== best?.rank[i]) : 0;
    if (!best || (at >= 0 && rank[at] < best.rank[at])) best = { ones: out.map((one) => one.i), rank };
  }
  return (best?.ones ?? []).map((i) => players[i].id);
}
