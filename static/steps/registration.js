/**
 * A registration as typed: the record's body, and what keeps it from being kept.
 *
 * @import { Problem } from "./form_keep.js"
 */
import { checkField, kindNamed } from "../records/kinds.js";

export const REGISTERED = "person.registered";
const NOT_KEPT =
  "Without consent to keep the record nothing can be kept on this phone. Leave this page; " +
  "nothing was saved.";
const NOT_SENT =
  "Whatever is kept on this phone is sent to the base hospital. Without this consent keep nothing " +
  "here: leave this page, or ask again.";

/**
 * Return the record's body as typed; what is left empty is null.
 *
 * @param {Record<string, string>} typed
 * @returns {Record<string, any>}
 */
export function bodyOf(typed) {
  const names = Object.keys(kindNamed(REGISTERED).fields);
  const body = Object.fromEntries(names.map((name) => [name, tidy(typed[name])]));
  const year = typed["birth_known"] === "year" ? tidy(typed["birth_year"]) : null;
  const date = typed["birth_known"] === "date" ? body["birth_date"] : null;
  return {
    ...body,
    birth_date: date,
    birth_year: year && /^[0-9]{4}$/.test(year) ? Number(year) : year,
  };
}

/**
 * Return a kept registration as it would be typed, the question of the birth included.
 *
 * @param {Record<string, any>} body
 * @returns {Record<string, string>}
 */
export function typedOf(body) {
  const texts = Object.entries(body).map(([name, value]) => [name, String(value ?? "")]);
  return { ...Object.fromEntries(texts), birth_known: body["birth_date"] ? "date" : "year" };
}

/** @param {string | undefined} text */
const tidy = (text) => text?.normalize("NFC").trim().replace(/\s+/g, " ") || null;

/**
 * @param {Record<string, any>} body
 * @param {Record<string, string>} typed
 * @param {boolean} isNew a new person must agree to both; somebody kept here may take one back
 * @returns {Problem[]}
 */
export function problemsOf(body, typed, isNew) {
  const fields = Object.entries(kindNamed(REGISTERED).fields);
  const problems = fields.flatMap(([field, { label }]) => {
    const message = fieldProblem(field, body[field], isNew);
    return message ? [{ field, label, message }] : [];
  });
  return [...birthProblem(body, typed), ...problems];
}

/**
 * @param {string} field
 * @param {unknown} value
 * @param {boolean} isNew
 * @returns {string | null}
 */
function fieldProblem(field, value, isNew) {
  if (field === "consent_store" && value === "no") return NOT_KEPT;
  if (field === "consent_send" && value === "no" && isNew) return NOT_SENT;
  if (field === "birth_year" && typeof value === "string") {
    return "Type the birth year in four digits, such as 1996.";
  }
  try {
    checkField(REGISTERED, field, value);
    return null;
  } catch (error) {
    return /** @type {Error} */ (error).message;
  }
}

/**
 * @param {Record<string, any>} body
 * @param {Record<string, string>} typed
 * @returns {Problem[]}
 */
function birthProblem({ birth_date, birth_year }, typed) {
  if (birth_date || birth_year) return [];
  const known = typed["birth_known"];
  const label = "Birth";
  if (!known) return [{ field: "birth_known", label, message: "Say what is known, then type it." }];
  const field = known === "date" ? "birth_date" : "birth_year";
  return [{ field, label, message: `Type the ${known === "date" ? "date" : "year"}.` }];
}
