// @ts-check
// While a clip is being made its page looks again by itself, and shows the clip once it is there.

export {};

const EVERY = 1500;
const work = document.getElementById("work");
let typed = false;

document.addEventListener("input", (event) => {
  if (/** @type {HTMLElement} */ (event.target).closest("form[method=post], #blur")) typed = true;
});

/** @type {string | null} */
let before = null;

/** @param {string} at */
async function look(at) {
  const answer = await fetch(at).catch(() => null);
  if (!answer?.ok || !work) return void setTimeout(look, 4 * EVERY, at);
  const told = await answer.json();
  const made = told.made.join(" ");
  if ((before !== null && made !== before) || !told.going) {
    // What was typed is not thrown away: then it is only said.
    if (!typed) return location.replace(location.pathname + location.search.replace(/[?&]said=[^&]*/, ""));
    const note = document.getElementById("work-told");
    if (note) note.textContent = "It has changed meanwhile: open this page again to see it.";
  }
  before = made;
  if (!work.contains(document.activeElement) && work.innerHTML !== told.part) work.innerHTML = told.part;
  if (told.going) setTimeout(look, EVERY, at);
}

if (work?.dataset.at) setTimeout(look, EVERY, work.dataset.at);
