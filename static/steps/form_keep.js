/**
 * A form on its way to a record: what was typed, what is wrong with it, and why it was not kept.
 */
import { NotKept } from "../store/journal.js";
import { focusField } from "../ui/form.js";

/**
 * @typedef {{ field: string, label: string, message: string }} Problem
 * @typedef {object} Form
 * @property {Problem[]} problems what keeps the form from being kept
 * @property {string | null} trouble why the phone could not keep it
 * @property {boolean} busy
 */

/**
 * Note what was looked at, and show it where something is wrong; return whether all is well.
 *
 * @param {Form} form
 * @param {Problem[]} problems
 * @param {() => void} redraw
 * @returns {boolean}
 */
export function isSound(form, problems, redraw) {
  form.problems = problems;
  form.trouble = null;
  if (problems.length > 0) showFirst("errors", redraw);
  return problems.length === 0;
}

/**
 * Draw what has to be read first, and put the cursor on it.
 *
 * @param {string} id
 * @param {() => void} redraw
 */
export function showFirst(id, redraw) {
  redraw();
  focusField(id);
}

/**
 * Keep what a page holds, busy meanwhile; say there why it was not kept.
 *
 * @param {Pick<Form, "busy" | "trouble">} form
 * @param {() => Promise<void>} keep writes the record, and says so or leaves the page
 * @param {() => void} redraw
 * @returns {Promise<void>}
 */
export async function keepForm(form, keep, redraw) {
  form.busy = true;
  redraw();
  try {
    await keep();
  } catch (error) {
    if (!(error instanceof NotKept)) throw error;
    form.trouble = error.message;
  } finally {
    form.busy = false;
    redraw();
  }
}

/**
 * Note what was typed; the complaint about that field is over until it is looked at again.
 *
 * @param {{ typed: Record<string, string>, problems: Problem[] }} form
 * @param {string} field
 * @param {string} words
 */
export function noteTyped(form, field, words) {
  form.typed[field] = words;
  form.problems = form.problems.filter((problem) => problem.field !== field);
}

/**
 * Return the message about a field, or null.
 *
 * @param {Problem[]} problems
 * @param {string} name
 * @returns {string | null}
 */
export function problemOf(problems, name) {
  return problems.find(({ field }) => field === name)?.message ?? null;
}
