// @ts-check
// Search inside the book in one file: every word must be there; without this script the whole book simply stands there.
(() => {
  const field = /** @type {HTMLInputElement} */ (document.getElementById("q"));
  const count = /** @type {HTMLElement} */ (document.getElementById("n"));
  const articles = [...document.querySelectorAll("article")];
  const texts = articles.map((one) => (one.textContent ?? "").toLowerCase());
  const find = /** @type {HTMLElement} */ (document.getElementById("find"));
  find.hidden = false;
  field.addEventListener("input", () => {
    const words = field.value.toLowerCase().split(/\s+/).filter(Boolean);
    let shown = 0;
    articles.forEach((one, at) => {
      one.hidden = !words.every((word) => texts[at].includes(word));
      shown += one.hidden ? 0 : 1;
    });
    count.textContent = words.length ? `${shown} of ${articles.length}` : "";
  });
})();
