// @ts-check
// Putting pointers on the film: what with, where, how long; kept at every change. Knows the layer and no player.

import { sayNow, speak } from "./speak.js";

/** @typedef {import("./film-point.js").Item} Item */
/** @typedef {import("./film-point.js").Place} Place */
/** @typedef {import("./film-player.js").Shown} Shown */
/** @typedef {{ id: string, version: string, title: string, mark: string, items: Item[] }} Pointer */
/** @typedef {[number, number]} Dot */

const TWO_ENDED = ["arrow", "sight"];
const NO_PLACE = ["sentence", "pause"];
export const NAMES = /** @type {Record<string, string>} */ ({ ring: "Ring", arrow: "Arrow", sight: "Line of sight", name: "Name", count: "Count", sentence: "Sentence", pause: "Stop and ask" });

/** @param {string} id @returns {HTMLInputElement} */
const field = (id) => /** @type {HTMLInputElement} */ (document.getElementById(id));

/** Tells `change` when the items are different. */
export class Pointing extends EventTarget {
  /** @param {string} film @param {string} mark @param {Pointer[]} kept */
  constructor(film, mark, kept) {
    super();
    this.film = film;
    this.others = kept.filter((one) => one.mark !== mark);
    /** @type {Pointer} */
    this.own = kept.find((one) => one.mark === mark) ?? { id: "", version: "", title: "Pointers", mark, items: [] };
    /** @type {Place | null} */
    this.first = null;
    /** @type {Item | null} */
    this.keyed = null;
    this.chain = Promise.resolve();
    this.list();
  }

  get items() {
    return [...this.own.items, ...this.others.flatMap((one) => one.items)];
  }

  /** @param {Shown} shown @param {number} seconds @returns {import("./film-player.js").FrameTime} a time so many seconds on */
  after(shown, seconds) {
    return { ...shown.at, pts: shown.at.pts + Math.round((seconds * shown.at.base[1]) / shown.at.base[0]) };
  }

  /** @param {Shown} shown @param {Place | null} place put the chosen kind there; of two ends the first waits for the second */
  put(shown, place) {
    if (this.keyed && place) return this.key(shown, place);
    const kind = field("point-kind").value;
    const text = field("point-text").value.trim();
    if (!place && !NO_PLACE.includes(kind)) return speak("Click the picture where it belongs.", true);
    if (kind === "sentence" && !text) return field("point-text").focus(), speak("Write the sentence first.", true);
    if (TWO_ENDED.includes(kind) && !this.first) {
      this.first = place;
      return speak("And where to? Click the other end.", true);
    }
    /** @type {Item} */
    const item = { kind, from: shown.at, to: this.after(shown, Number(field("point-seconds").value) || 4), text, role: field("point-role").value || null };
    if (place) Object.assign(item, this.first ? { at: this.first, to_at: place } : { at: place });
    this.first = null;
    this.own.items.push(item);
    this.save(`${NAMES[kind]} put.`);
  }

  /** @param {Shown} shown @param {Place} place the keyed item stands there from this frame on */
  key(shown, place) {
    const item = /** @type {Item} */ (this.keyed);
    const at = /** @type {Place} */ (item.at);
    const before = /** @type {[import("./film-player.js").FrameTime, Place][]} */ (at.path ?? [[item.from, at]]);
    /** @type {[import("./film-player.js").FrameTime, Place][]} */
    const keyed = [...before.filter(([time]) => time.pts !== shown.at.pts), [shown.at, place]];
    item.at = { path: keyed.sort((a, b) => a[0].pts - b[0].pts) };
    if (shown.at.pts > item.to.pts) item.to = shown.at;
    this.save("It stands there from this frame on.");
  }

  /** @param {number} number @param {string} what `drop`, or `key`: the next click moves it at the frame on screen */
  act(number, what) {
    const item = this.own.items[number];
    if (what === "drop") {
      this.own.items.splice(number, 1);
      this.keyed = null;
      this.save("Taken away.");
      return;
    }
    this.keyed = this.keyed === item ? null : item;
    this.list();
    sayNow(this.keyed ? "Go to another frame and click where it is then." : "Done.");
  }

  /** @param {string} words */
  save(words) {
    this.list();
    this.dispatchEvent(new Event("change"));
    this.chain = this.chain.then(() => this.send(words));
    return this.chain;
  }

  /** @param {string} words */
  async send(words) {
    const answer = await fetch(`/api/v1/films/${this.film}/pointers`, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(this.own) }).catch(() => null);
    if (!answer) return speak("The workbench does not answer; what you pointed at is not kept yet.", true);
    const told = await answer.json();
    if (!answer.ok) return speak(told.errors.map((/** @type {any} */ one) => `${one.found}; ${one.do}.`).join(" "), true);
    this.own.id = told.id;
    this.own.version = told.version;
    speak(words);
  }

  list() {
    const list = /** @type {HTMLElement} */ (document.getElementById("point-list"));
    list.replaceChildren(...this.own.items.map((item, number) => this.row(item, number)));
  }

  /** @param {Item} item @param {number} number */
  row(item, number) {
    const row = document.createElement("li");
    row.className = "find-row";
    const name = document.createElement("span");
    const seconds = (pts = 0, base = item.from.base) => ((pts * base[0]) / base[1]).toFixed(1);
    const words = [NAMES[item.kind], { lead: "L", trail: "T" }[item.role ?? ""], item.text].filter(Boolean).join(" ");
    const place = item.at?.path ? item.at.path[0][1] : item.at;
    name.textContent = `${words} · ${seconds(item.from.pts)} to ${seconds(item.to.pts)} s${place?.court ? ", on the floor" : place ? ", on the picture" : ""}`;
    row.append(name, this.button(number, "drop", "Take away", words));
    if (item.at) row.append(this.button(number, "key", "Moves: set where it is on another frame", words, this.keyed === item));
    return row;
  }

  /** @param {number} number @param {string} what @param {string} words @param {string} of @param {boolean} [pressed] */
  button(number, what, words, of, pressed) {
    const made = document.createElement("button");
    made.type = "button";
    made.className = "tool small";
    made.textContent = words;
    made.setAttribute("aria-label", `${words}: ${of}`);
    made.dataset.item = String(number);
    made.dataset.act = what;
    if (pressed !== undefined) made.setAttribute("aria-pressed", String(pressed));
    return made;
  }
}
