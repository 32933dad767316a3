// @ts-check
// What is pointed at, drawn over the running film. The twin of the program's own drawing for clips: same shapes, same places.

/** @typedef {import("./film-camera.js").FilmCamera} FilmCamera */
/** @typedef {import("./film-player.js").FrameTime} FrameTime */
/** @typedef {[number, number]} Dot */
/** @typedef {{ court?: Dot, picture?: Dot, path?: [FrameTime, any][] }} Place */
/** @typedef {{ kind: string, from: FrameTime, to: FrameTime, at?: Place, to_at?: Place, text?: string, role?: string | null }} Item */
/** @typedef {{ kind: string, points?: Dot[], at?: Dot, text?: string, role?: string, of?: string }} Shape */

const SVG = "http://www.w3.org/2000/svg";
const RING_FT = 2.4;
const HEAD_FT = 6.8;
const AROUND = 24;
const RING_PART = 0.035;
const RING_FLAT = 0.4;
const LIGHT = "#ffffff";
const DARK = "#000000";
const THICK = 1 / 210;
const EDGE = 2.4;
const HEAD = 1 / 36;
const LETTERS = 1 / 30;
/** Letters that fit across in a sentence; a line of it, and what is above and below all of them, in LETTERS. */
const [SENTENCE_FITS, SENTENCE_LINE, SENTENCE_EDGES] = [42, 1.4, 0.8];

/** @param {FrameTime} at @returns {number} seconds in its part */
export function secondsOf(at) {
  return (at.pts * at.base[0]) / at.base[1];
}

/** @param {Place} place @param {number} seconds @returns {Place} itself, or on a way of keyed frames */
export function placeAt(place, seconds) {
  if (!place.path) return place;
  const keyed = place.path.map(([time, one]) => ({ time: secondsOf(time), one })).sort((a, b) => a.time - b.time);
  const after = keyed.findIndex((key) => key.time >= seconds);
  if (after < 0) return keyed[keyed.length - 1].one;
  if (after === 0) return keyed[0].one;
  const [first, last] = [keyed[after - 1], keyed[after]];
  const kind = /** @type {"court" | "picture"} */ (Object.keys(first.one)[0]);
  if (!last.one[kind] || last.time <= first.time) return first.one;
  const share = (seconds - first.time) / (last.time - first.time);
  return { [kind]: first.one[kind].map((/** @type {number} */ value, /** @type {number} */ n) => value + (last.one[kind][n] - value) * share) };
}

/** @param {Place} place @param {Dot} picture @param {FilmCamera | null} camera @param {number} height @returns {Dot | null} */
function dotOf(place, picture, camera, height) {
  if (place.picture) return [place.picture[0] * picture[0] - 0.5, place.picture[1] * picture[1] - 0.5];
  return place.court && camera ? camera.dot(place.court[0], place.court[1], height) : null;
}

/** @param {Place} place @param {Dot} picture @param {FilmCamera | null} camera @returns {Dot[] | null} */
function ringOf(place, picture, camera) {
  const turns = [...Array(AROUND).keys()].map((n) => (n * 2 * Math.PI) / AROUND);
  if (place.picture) {
    const [u, v] = /** @type {Dot} */ (dotOf(place, picture, null, 0));
    const wide = RING_PART * picture[0];
    return turns.map((turn) => [u + wide * Math.cos(turn), v + wide * RING_FLAT * Math.sin(turn)]);
  }
  const [x, y] = place.court ?? [0, 0];
  const dots = turns.map((turn) => camera?.dot(x + RING_FT * Math.cos(turn), y + RING_FT * Math.sin(turn)) ?? null);
  return dots.every((dot) => dot !== null) ? /** @type {Dot[]} */ (dots) : null;
}

/** @param {Item} item @param {number} seconds @param {Dot} picture @param {FilmCamera | null} camera @returns {Shape | null} */
function shapeOf(item, seconds, picture, camera) {
  if (item.kind === "sentence") return { kind: item.kind, text: item.text };
  const place = placeAt(/** @type {Place} */ (item.at), seconds);
  if (item.kind === "ring") {
    const points = ringOf(place, picture, camera);
    return points && { kind: item.kind, points };
  }
  const dot = dotOf(place, picture, camera, item.kind === "name" || item.kind === "count" ? HEAD_FT : 0);
  if (!dot) return null;
  if (item.kind === "arrow" || item.kind === "sight") {
    const other = dotOf(placeAt(/** @type {Place} */ (item.to_at), seconds), picture, camera, 0);
    return other && { kind: item.kind, points: [dot, other] };
  }
  if (item.kind === "count") return { kind: item.kind, at: dot, text: String(Math.floor(seconds - secondsOf(item.from) + 1e-6)) };
  return { kind: item.kind, at: dot, text: item.text ?? "", role: item.role ?? "" };
}

/**
 * @param {Item[]} items
 * @param {string} part
 * @param {number} seconds in the part
 * @param {Dot} picture
 * @param {FilmCamera | null} camera
 * @returns {Shape[]} what is on at a time; `unknown` where its place is not known
 */
export function shapesAt(items, part, seconds, picture, camera) {
  const on = items.filter((item) => item.kind !== "pause" && item.from.part === part && secondsOf(item.from) - 1e-6 <= seconds && seconds <= secondsOf(item.to) + 1e-6);
  return on.map((item) => shapeOf(item, seconds, picture, camera) ?? { kind: "unknown", of: item.kind });
}

/** @param {string} name @param {Record<string, string | number>} given @returns {SVGElement} */
function element(name, given) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(given)) made.setAttribute(key, String(value));
  return made;
}

/** @param {Dot[]} points @param {number} long @returns {Dot[]} the three corners of an arrow's head */
export function headOf([[x1, y1], [x2, y2]], long) {
  const far = Math.hypot(x2 - x1, y2 - y1) || 1;
  const [ax, ay] = [(x2 - x1) / far, (y2 - y1) / far];
  const [u, v] = [x2 - ax * long, y2 - ay * long];
  const side = 0.4 * long;
  return [[x2, y2], [u - ay * side, v + ax * side], [u + ay * side, v - ax * side]];
}

/** @param {string} text @param {Dot} at @param {number} size @returns {SVGElement} */
function words(text, at, size) {
  const made = element("text", { x: at[0], y: at[1], "font-size": size, "font-weight": "bold", "text-anchor": "middle", fill: LIGHT, stroke: DARK, "stroke-width": size / 6, "paint-order": "stroke" });
  made.textContent = text;
  return made;
}

/** @param {string} text @returns {string[]} a sentence in lines that fit across the picture; a word longer than a line is cut */
export function linesOf(text) {
  const lines = [""];
  for (const word of text.split(/\s+/).filter(Boolean)) {
    for (let at = 0; at < word.length; at += SENTENCE_FITS) {
      const part = word.slice(at, at + SENTENCE_FITS);
      const longer = `${lines[lines.length - 1]} ${part}`.trim();
      if (longer.length <= SENTENCE_FITS) lines[lines.length - 1] = longer;
      else lines.push(part);
    }
  }
  return lines;
}

/** @param {Shape} shape @param {Dot} picture @returns {SVGElement[]} the dark edge under the light one */
export function drawn(shape, picture) {
  const [wide, high] = picture;
  const thick = wide * THICK;
  const twice = /** @type {[string, number][]} */ ([[DARK, thick * EDGE], [LIGHT, thick]]);
  const points = shape.points ?? [];
  const listed = (/** @type {Dot[]} */ dots) => dots.map((dot) => dot.join(",")).join(" ");
  const line = (/** @type {Record<string, string>} */ more) => twice.map(([stroke, width]) => element("line", { x1: points[0][0], y1: points[0][1], x2: points[1][0], y2: points[1][1], stroke, "stroke-width": width, ...more }));
  switch (shape.kind) {
    case "ring":
      return twice.map(([stroke, width]) => element("polygon", { points: listed(points), fill: "none", stroke, "stroke-width": width }));
    case "sight":
      return line({ "stroke-dasharray": `${4 * thick} ${2.5 * thick}` });
    case "arrow":
      return [...line({}), element("polygon", { points: listed(headOf(points, wide * HEAD)), fill: LIGHT, stroke: DARK, "stroke-width": (thick * (EDGE - 1)) / 2 })];
    case "name":
      return [words([{ lead: "L", trail: "T" }[shape.role ?? ""] ?? "", shape.text].filter(Boolean).join(" "), /** @type {Dot} */ (shape.at), wide * LETTERS)];
    case "count":
      return [words(shape.text ?? "", /** @type {Dot} */ (shape.at), wide * LETTERS * 2)];
    case "sentence": {
      const lines = linesOf(shape.text ?? "");
      const tall = wide * LETTERS * (SENTENCE_EDGES + SENTENCE_LINE * lines.length);
      const top = high - 0.5 - tall;
      const said = lines.map((line, number) => words(line, [wide / 2, top + wide * LETTERS * SENTENCE_LINE * (number + 1)], wide * LETTERS * 1.15));
      return [element("rect", { x: -0.5, y: top, width: wide, height: tall, fill: DARK, "fill-opacity": 0.78 }), ...said];
    }
    default:
      return [];
  }
}

/** @param {SVGElement} layer @param {Shape[]} shapes @param {Dot} picture @returns {number} how many could not be shown */
export function show(layer, shapes, picture) {
  layer.replaceChildren(...shapes.flatMap((shape) => drawn(shape, picture)));
  return shapes.filter((shape) => shape.kind === "unknown").length;
}
