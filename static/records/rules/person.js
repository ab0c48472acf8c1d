/**
 * Rules about people: who they are, what they agreed to, what they answered; twin of webapp/records/rules/person.py.
 *
 * @typedef {import("../kinds_rules.js").Values} Values
 * @typedef {import("../kinds_rules.js").Problem} Problem
 * @typedef {import("../kinds_rules.js").Rule} Rule
 */

/** A person has a birth date or, where it is not known, a birth year. @type {Rule} */
function oneBirth(body) {
  if ((body.birth_date === null) !== (body.birth_year === null)) return null;
  return ["birth_date", "Give the birth date or, if only the year is known, the year: one of them."];
}

/** Nothing is kept without consent. @type {Rule} */
function consentToStore(body) {
  if (body.consent_store === "yes") return null;
  return ["consent_store", "Without the person's consent nothing may be kept. Keep no record."];
}

/** Kind and days of contact lenses belong to people who wear them. @type {Rule} */
function lensDetailsNeedLenses(body) {
  if (body.contact_lenses === "yes") return null;
  for (const field of ["contact_lens_type", "contact_lens_days_out"]) {
    if (body[field] !== null) {
      return [field, "This belongs to people who wear contact lenses. Answer yes, or clear it."];
    }
  }
  return null;
}

/** An eye disease is named. @type {Rule} */
function diseaseNeedsNote(body) {
  if (body.eye_disease !== "yes" || body.eye_disease_note !== null) return null;
  return ["eye_disease_note", "Write which eye disease or operation it is."];
}

/** Somebody is compared or joined with somebody else. @type {Rule} */
function anotherPerson({ other }, { person }) {
  if (other !== person) return null;
  return ["other", "A person is compared or joined with another one, not with themselves."];
}

/** @type {Readonly<Record<string, Rule>>} */
export const PERSON = {
  one_birth: oneBirth,
  consent_to_store: consentToStore,
  lens_details_need_lenses: lensDetailsNeedLenses,
  disease_needs_note: diseaseNeedsNote,
  another_person: anotherPerson,
};
