// @ts-check
// What every page has: theme without a reload, copy buttons, one open disclosure at a time, forms that say what they did.

document.documentElement.classList.add("scripted");

/** Keep light or dark at once; the form does the same without scripts. */
document.addEventListener("submit", (event) => {
  const form = /** @type {HTMLFormElement} */ (event.target);
  if (!form.matches("[data-theme-form]")) return;
  const button = /** @type {HTMLButtonElement | null} */ (event.submitter);
  if (!button) return;
  event.preventDefault();
  document.documentElement.dataset.theme = button.value;
  fetch(form.action, { method: "POST", body: new URLSearchParams({ theme: button.value, back: "/" }), redirect: "manual" });
  const other = form.querySelector(`[name=theme]:not([value=${button.value}])`);
  /** @type {HTMLElement | null} */ (other)?.focus();
});

document.addEventListener("click", (event) => {
  const target = /** @type {Element} */ (event.target);
  const copy = /** @type {HTMLElement | null} */ (target.closest("[data-copy]"));
  if (copy) copyFrom(copy);
  for (const open of document.querySelectorAll("details.fill[open], details.more[open], details.menu[open]")) {
    if (!open.contains(target)) open.removeAttribute("open");
  }
});

/**
 * Put a field's text on the clipboard, or select it where a browser does not allow that.
 * @param {HTMLElement} button
 */
async function copyFrom(button) {
  const field = /** @type {HTMLInputElement | null} */ (document.getElementById(button.dataset.copy ?? ""));
  if (!field) return;
  const text = field.hasAttribute("data-absolute") ? new URL(field.value, location.href).href : field.value;
  const before = button.textContent;
  try {
    await navigator.clipboard.writeText(text);
    button.textContent = "Copied";
  } catch {
    field.select();
    button.textContent = "Selected";
  }
  setTimeout(() => { button.textContent = before; }, 1600);
}

document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  const open = document.querySelector("details.fill[open], details.more[open], details.menu[open]");
  if (!open) return;
  open.removeAttribute("open");
  /** @type {HTMLElement | null} */ (open.querySelector("summary"))?.focus();
  event.stopImmediatePropagation();
});

document.addEventListener("toggle", (event) => placeChoices(/** @type {HTMLElement} */ (event.target)), true);

/**
 * Open a part's choices under that part, inside the column.
 * @param {HTMLElement} details
 */
function placeChoices(details) {
  const panel = /** @type {HTMLElement | null} */ (details.querySelector(":scope > .choices"));
  const column = details.closest(".say, .basis");
  if (!panel || !column || !details.hasAttribute("open") || matchMedia("(max-width: 600px)").matches) return;
  const box = column.getBoundingClientRect();
  const own = details.getBoundingClientRect();
  const most = box.width - panel.offsetWidth;
  panel.style.left = `${Math.max(0, Math.min(own.left - box.left, most))}px`;
  panel.style.top = `${own.bottom - box.top + 4}px`;
}

/** What is entered decides which answers are offered: asked again with what was already typed. */
document.addEventListener("change", (event) => {
  const select = /** @type {HTMLSelectElement} */ (event.target);
  if (!select.matches("form[action='/write'] select[name=part]") || !select.form) return;
  select.form.requestSubmit(select.form.querySelector("button[value=choices]"));
});
