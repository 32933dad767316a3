// @ts-check
// Fetches the same screen in parts and puts them in place: one request under way, the newest wish next, focus kept.

import { sayNow } from "./speak.js";

/** @typedef {{ parts: Record<string, string>, url: string, query: string, title: string, speak: string }} Screen */

/** @type {{ address: string, how: "push" | "replace" | "none" } | null} */
let next = null;
/** The address under way, empty while nothing is. */
let under = "";
/** @type {(screen: Screen) => void} */
let after = () => {};

/**
 * Say what happens after each new screen.
 * @param {(screen: Screen) => void} then
 */
export function onScreen(then) {
  after = then;
}

/**
 * Show the screen of an address; a wish that comes while one is under way replaces the waiting one.
 * @param {string} address
 * @param {"push" | "replace" | "none"} how what becomes of the address bar
 */
export async function go(address, how = "push") {
  next = { address: under ? merged(next?.address ?? under, address) : address, how };
  if (under) return;
  try {
    while (next) {
      const wish = next;
      next = null;
      under = wish.address;
      await show(wish.address, wish.how);
    }
  } finally {
    under = "";
  }
}

/**
 * A link of the screen that is still shown changes one thing of it; that change goes on top of what is under way,
 * so that two quick keys both count.
 * @param {string} waiting
 * @param {string} address
 */
function merged(waiting, address) {
  const shown = new URLSearchParams(document.getElementById("main")?.dataset.query ?? "");
  const wished = new URL(address, location.href).searchParams;
  const result = new URL(waiting, location.href);
  if (wished.has("line") || result.searchParams.has("line")) return address;
  for (const name of new Set([...shown.keys(), ...wished.keys()])) {
    const value = wished.get(name);
    if (value === shown.get(name)) continue;
    if (value === null) result.searchParams.delete(name);
    else result.searchParams.set(name, value);
  }
  return result.pathname + result.search;
}

/**
 * @param {string} address
 * @param {"push" | "replace" | "none"} how
 */
async function show(address, how) {
  const url = new URL(address, location.href);
  const shape = matchMedia("(max-width: 600px)").matches ? "half" : "whole";
  if (!document.cookie.includes("tenbetween_look=") && !url.searchParams.has("look")) url.searchParams.set("look", shape);
  /** @type {Response} */
  let answer;
  try {
    answer = await fetch(`/part${url.search}`);
  } catch {
    lost();
    return;
  }
  if (!answer.ok) {
    location.assign(address);
    return;
  }
  /** @type {Screen} */
  const screen = await answer.json();
  if (next) return;
  place(screen);
  if (how === "push" && screen.url !== location.pathname + location.search) history.pushState(null, "", screen.url);
  if (how === "replace") history.replaceState(null, "", screen.url);
  after(screen);
}

/** Say that the program on this machine is not there any more; what is set stays on the screen. */
function lost() {
  sayNow("The workbench does not answer. Start tenbetween again; what you set is still on this page.");
  document.documentElement.classList.add("lost");
}

/**
 * Put the parts in place; the same element has the focus before and after, and what was unfolded stays so.
 * @param {Screen} screen
 */
function place(screen) {
  const main = document.getElementById("main");
  const active = document.activeElement;
  const focused = active?.id || active?.closest("details")?.querySelector("summary")?.id || "";
  const was = main?.contains(active) ?? false;
  const unfolded = [...document.querySelectorAll("details.fold[open]")].map((fold) => fold.id);
  for (const [name, html] of Object.entries(screen.parts)) {
    const holder = document.getElementById(name);
    if (holder) holder.innerHTML = html;
  }
  for (const id of unfolded) document.getElementById(id)?.setAttribute("open", "");
  if (main) main.dataset.query = screen.query;
  document.title = `${screen.title} · Tenbetween`;
  main?.classList.toggle("answered", !!document.getElementById("steps") || screen.url.startsWith("/?line="));
  main?.classList.toggle("asking", !main.classList.contains("answered"));
  document.documentElement.classList.remove("lost");
  if (was) focus(focused);
}

/**
 * Give the focus back to the element with that id, or to the part of the sentence asked next, or to the court.
 * @param {string} id
 */
function focus(id) {
  const same = id ? document.getElementById(id) : null;
  const visible = same && same.offsetParent !== null ? same : null;
  const asked = /** @type {HTMLElement | null} */ (document.querySelector("#say .now > summary"));
  const court = [...document.querySelectorAll(".floor-holder")].find((one) => /** @type {HTMLElement} */ (one).offsetParent);
  (visible ?? asked ?? /** @type {HTMLElement | undefined} */ (court))?.focus({ preventScroll: true });
}
