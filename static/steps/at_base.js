/**
 * Somebody whose records lie at the base only: the page says so and fetches them.
 *
 * @import { PersonRow } from "../store/people.js"
 */
import { html, nothing } from "lit-html";
import { KEPT_DAYS } from "../store/put_off.js";
import { fetchPerson } from "../sync/tidy.js";

/**
 * @typedef {{ isBusy: boolean, error: string | null }} Fetching
 *
 * @param {PersonRow} row
 * @param {Fetching} fetching
 * @param {() => void} redraw
 */
export function atBaseSection({ id }, fetching, redraw) {
  return html`<p class="notice">Kept at the base only. Nothing was recorded here for ${KEPT_DAYS} days and
      nothing is open, so this phone keeps the registration alone.</p>
    ${fetching.error ? html`<p class="error-list" role="alert">${fetching.error}</p>` : nothing}
    <button type="button" class="btn main wide" aria-disabled=${fetching.isBusy}
      @click=${() => void fetchAgain(id, fetching, redraw)}>
      ${fetching.isBusy ? "Fetching" : "Fetch the records"}</button>`;
}

/**
 * @param {string} id
 * @param {Fetching} fetching
 * @param {() => void} redraw
 */
async function fetchAgain(id, fetching, redraw) {
  if (fetching.isBusy) return;
  Object.assign(fetching, { isBusy: true, error: null });
  redraw();
  try {
    await fetchPerson(id);
  } catch (error) {
    fetching.error = /** @type {Error} */ (error).message;
  }
  fetching.isBusy = false;
  redraw();
}
