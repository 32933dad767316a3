// @ts-check
// Regions to be blurred in a clip, marked by hand: two corners at a second, again where the region went astray.

import { FilmPicture } from "./film-picture.js";
import { speak } from "./speak.js";

/** @typedef {[number, number]} Dot */
/** @typedef {[number, number, number, number]} Box left, top, right, bottom as shares of the picture */
/** @typedef {{ part?: string, marks: [number, Box][], until?: number }} Region */
/** @typedef {{ part: string, begins: number, ends: number, base: [number, number], seconds: number }} Stretch one piece of one part */

const SVG = "http://www.w3.org/2000/svg";
const place = document.getElementById("blur");

if (place) {
  const [wide, high] = (place.dataset.picture ?? "640 360").split(" ").map(Number);
  /** @type {Stretch[]} */
  const stretches = JSON.parse(place.dataset.stretches ?? "[]");
  /** @type {Region[]} */
  const regions = JSON.parse(place.dataset.blur ?? "[]");
  const slider = /** @type {HTMLInputElement} */ (document.getElementById("blur-at"));
  const which = /** @type {HTMLSelectElement} */ (document.getElementById("blur-which"));
  const picture = new FilmPicture(/** @type {HTMLElement} */ (document.getElementById("find-stage")), wide, high);
  /** @type {Dot | null} */
  let corner = null;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let waiting;

  /** The piece of film that is on at the second of the slider, and the frame in it. */
  const now = () => {
    let left = Number(slider.value);
    let here = stretches[0];
    for (const one of stretches.slice(1)) {
      if (left <= here.seconds) break;
      left -= here.seconds;
      here = one;
    }
    const [up, down] = here.base;
    return { here, pts: Math.min(here.ends, here.begins + Math.round((left * down) / up)) };
  };

  /** @param {Region} region */
  const partOf = (region) => region.part ?? stretches[0].part;

  const list = () => {
    const chosen = which.value;
    which.replaceChildren(...regions.map((_, n) => new Option(`Region ${n + 1}`, String(n))), new Option("A new region", "new"));
    which.value = regions[Number(chosen)] ? chosen : "new";
  };

  const draw = () => {
    const { here, pts } = now();
    const layer = /** @type {SVGGElement} */ (/** @type {unknown} */ (document.getElementById("blur-boxes")));
    layer.replaceChildren(
      ...regions.flatMap((region) => {
        if (partOf(region) !== here.part) return [];
        const at = region.marks.filter(([time]) => time <= pts).at(-1);
        return at ? [rect(at[1], at[0] !== pts)] : [];
      }),
    );
  };

  /** @param {Box} box @param {boolean} guess marked at another second */
  const rect = ([left, top, right, bottom], guess) => {
    const made = document.createElementNS(SVG, "rect");
    const given = { x: left * wide - 0.5, y: top * high - 0.5, width: (right - left) * wide, height: (bottom - top) * high };
    for (const [name, value] of Object.entries(given)) made.setAttribute(name, String(value));
    made.classList.toggle("guess", guess);
    return made;
  };

  slider.addEventListener("input", () => {
    /** @type {HTMLOutputElement} */ (document.getElementById("blur-second")).value = Number(slider.value).toFixed(1);
    corner = null;
    draw();
    clearTimeout(waiting);
    waiting = setTimeout(() => {
      const { here, pts } = now();
      document.getElementById("find-image")?.setAttribute("src", `/media/${here.part}/still/${pts}.jpg?h=480`);
    }, 120);
  });

  picture.addEventListener("place", (event) => {
    const dot = /** @type {CustomEvent<Dot>} */ (event).detail;
    if (!corner) {
      corner = dot;
      return speak("Now the opposite corner.", true);
    }
    const share = (/** @type {number} */ value, /** @type {number} */ most) => Math.round(Math.max(0, Math.min(1, (value + 0.5) / most)) * 1e4) / 1e4;
    const us = [corner[0], dot[0]].sort((a, b) => a - b);
    const vs = [corner[1], dot[1]].sort((a, b) => a - b);
    corner = null;
    /** @type {Box} */
    const box = [share(us[0], wide), share(vs[0], high), share(us[1], wide), share(vs[1], high)];
    if (box[2] - box[0] < 0.004 || box[3] - box[1] < 0.004) return speak("That is too small: click two corners.", true);
    const { here, pts } = now();
    // A region is of one part of the film: in the next part it begins anew.
    const known = which.value === "new" ? undefined : regions[Number(which.value)];
    const number = known && partOf(known) === here.part ? Number(which.value) : regions.push({ part: here.part, marks: [], until: here.ends }) - 1;
    regions[number].marks = [...regions[number].marks.filter(([time]) => time !== pts), /** @type {[number, Box]} */ ([pts, box])].sort((a, b) => a[0] - b[0]);
    list();
    which.value = String(number);
    draw();
    speak(`Region ${number + 1} is marked at ${Number(slider.value).toFixed(1)} seconds.`);
  });

  document.getElementById("blur-drop")?.addEventListener("click", () => {
    if (which.value === "new") return speak("Choose a region first.", true);
    regions.splice(Number(which.value), 1);
    list();
    draw();
  });

  document.getElementById("blur-save")?.addEventListener("click", async () => {
    const answer = await fetch(`/api/v1/clips/${place.dataset.clip}/blur`, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ blur: regions, version: place.dataset.version }) }).catch(() => null);
    if (!answer) return speak("The workbench does not answer; the regions are still here.", true);
    const told = await answer.json();
    if (!answer.ok) return speak(told.errors.map((/** @type {any} */ one) => `${one.found}; ${one.do}.`).join(" "), true);
    place.dataset.version = told.version;
    speak(told.words, true);
  });

  list();
  draw();
}
