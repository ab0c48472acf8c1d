/**
 * The desk's keys: `/` goes to the search, arrows move along the rows. Every page works without.
 */

const SEARCH = "[data-search]";
const ROW_LINK = "[data-row-link]";

/**
 * Say whether the person is typing, so that a key belongs to the field and not to the page.
 *
 * @param {EventTarget | null} target
 * @returns {boolean}
 */
function isTyping(target) {
  return target instanceof Element && target.matches("input, textarea, select");
}

/**
 * Move the focus from row to row; it stays at the first and the last.
 *
 * @param {number} step +1 down, -1 up
 * @returns {boolean} whether there was a row to go to
 */
function moveAlongRows(step) {
  /** @type {HTMLElement[]} */
  const links = [...document.querySelectorAll(ROW_LINK)].filter((link) => link instanceof HTMLElement);
  if (links.length === 0) return false;
  const here = links.indexOf(/** @type {HTMLElement} */ (document.activeElement));
  const next = here === -1 ? 0 : Math.min(links.length - 1, Math.max(0, here + step));
  links[next]?.focus();
  return true;
}

/**
 * Answer one key press.
 *
 * @param {KeyboardEvent} event
 */
function onKey(event) {
  if (event.ctrlKey || event.altKey || event.metaKey || isTyping(event.target)) return;
  if (event.key === "/") {
    const search = document.querySelector(SEARCH);
    if (!(search instanceof HTMLElement)) return;
    search.focus();
    event.preventDefault();
  } else if (event.key === "ArrowDown" || event.key === "ArrowUp") {
    if (moveAlongRows(event.key === "ArrowDown" ? 1 : -1)) event.preventDefault();
  }
}

/** A button pressed twice must not send twice; the server is idempotent, the person is spared. */
function onSubmit(/** @type {SubmitEvent} */ event) {
  if (!(event.target instanceof HTMLFormElement)) return;
  if (event.target.dataset.sent === "1") event.preventDefault();
  event.target.dataset.sent = "1";
}

/** A page brought back by the back button may be sent again. */
function onShow() {
  for (const form of document.forms) delete form.dataset.sent;
}

/** Say what day this browser's clock shows: a lens is judged by the later of two clocks. */
function sayToday() {
  const now = new Date();
  const parts = [now.getFullYear(), now.getMonth() + 1, now.getDate()];
  const text = parts.map((part) => String(part).padStart(2, "0")).join("-");
  for (const field of document.querySelectorAll("input[data-today]")) {
    if (field instanceof HTMLInputElement) field.value = text;
  }
}

document.addEventListener("DOMContentLoaded", sayToday);
document.addEventListener("keydown", onKey);
document.addEventListener("submit", onSubmit);
window.addEventListener("pageshow", onShow);
