// @ts-check
// Has a film painted: shows how far it is, can be stopped, and fetches it at the end.

import { speak } from "./speak.js";

/** @type {AbortController | null} */
let under = null;

/**
 * @param {import("./board-state.js").Play} play
 * @param {string} kind
 */
export async function paint(play, kind) {
  under?.abort();
  under = new AbortController();
  const shown = document.getElementById("making");
  const bar = /** @type {HTMLProgressElement | null} */ (document.getElementById("made-so-far"));
  const stop = document.getElementById("make-stop");
  if (!shown || !bar || !stop) return;
  stop.onclick = () => under?.abort();
  bar.value = 0;
  shown.hidden = false;
  speak("The film is being painted.");
  try {
    const answer = await fetch("/api/v1/film", { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ play, kind }), signal: under.signal });
    for await (const told of lines(answer)) {
      if (told.of) bar.value = told.done / told.of;
      if (told.errors) speak(told.errors.map((/** @type {any} */ one) => `${one.found}. ${one.do}.`).join(" "), true);
      if (told.url) location.assign(told.url);
      if (told.url) speak("The film is made.");
    }
  } catch {
    speak(under?.signal.aborted ? "Stopped. No film was made." : "The workbench does not answer; no film was made.", true);
  }
  shown.hidden = true;
}

/** @param {Response} answer @returns {AsyncGenerator<any>} */
async function* lines(answer) {
  if (!answer.ok) return yield await answer.json();
  const reader = /** @type {ReadableStream<Uint8Array>} */ (answer.body).pipeThrough(/** @type {any} */ (new TextDecoderStream())).getReader();
  let rest = "";
  for (let part = await reader.read(); !part.done; part = await reader.read()) {
    const found = (rest + part.value).split("\n");
    rest = found.pop() ?? "";
    for (const line of found) if (line) yield JSON.parse(line);
  }
}
