// @ts-check
// The page of all films: numbers the files in the order they are ticked, and keeps the work under way up to date.

const EVERY = 1500;
/** @type {HTMLInputElement[]} */
const ticked = [];

document.getElementById("choose")?.addEventListener("change", (event) => {
  const box = /** @type {HTMLInputElement} */ (event.target);
  if (box.type !== "checkbox") return;
  const at = ticked.indexOf(box);
  if (at >= 0) ticked.splice(at, 1);
  if (box.checked) ticked.push(box);
  for (const one of document.querySelectorAll("#choose .place-in")) one.textContent = "";
  for (const [number, one] of ticked.entries()) {
    const place = one.closest("label")?.querySelector(".place-in");
    if (place) place.textContent = `part ${number + 1}`;
  }
});

document.getElementById("choose")?.addEventListener("submit", (event) => {
  event.preventDefault();
  const chosen = ticked.filter((one) => one.checked).map((one) => ["file", one.value]);
  location.assign(`/films/new?${new URLSearchParams(chosen)}`);
});

async function look() {
  const place = document.getElementById("jobs-list");
  const answer = await fetch("/films/jobs").catch(() => null);
  if (!answer?.ok || !place) return;
  const told = await answer.json();
  const inside = place.contains(document.activeElement);
  if (!inside && place.innerHTML !== told.part) place.innerHTML = told.part;
  document.getElementById("jobs")?.toggleAttribute("hidden", !told.any);
  if (told.going) setTimeout(look, EVERY);
}

setTimeout(look, EVERY);
