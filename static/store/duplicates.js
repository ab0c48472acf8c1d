/**
 * Noticing that somebody being registered may be here already; a warning, never a merge.
 *
 * @import { PersonRow } from "./people.js"
 * @typedef {Pick<PersonRow, "name" | "village" | "camp_code" | "phone" | "birth_date" | "birth_year">} Asked
 */
import { peopleAt } from "./people.js";

/**
 * Return everybody known on this device who may be the same person, each with the reason.
 *
 * @param {Asked} asked
 * @param {string} site where they are being registered
 * @param {string[]} [others] the other sites whose people this device knows
 * @returns {Promise<{ person: PersonRow, why: string }[]>}
 */
export async function possibleDuplicates(asked, site, others = []) {
  const lists = await Promise.all([site, ...others.filter((other) => other !== site)].map(peopleAt));
  // Who cannot be read has no name to compare: the list says so.
  const known = lists.flat().filter(({ camp_code: code }) => code !== "");
  return known.flatMap((person) => {
    const why = likeness(asked, person) ?? (person.site === site ? codeLikeness(asked, person) : null);
    return why ? [{ person, why }] : [];
  });
}

/**
 * @param {Asked} asked
 * @param {PersonRow} person
 * @returns {string | null}
 */
function likeness(asked, person) {
  const names = [plain(asked.name), plain(person.name)];
  if (names[0] !== "" && names[0] === names[1]) return "the same name";
  const phone = digits(asked.phone);
  if (phone !== "" && phone === digits(person.phone)) return "the same phone number";
  const areAlike = oneSlipApart(names[0] ?? "", names[1] ?? "");
  if (areAlike && haveSameBirth(asked, person)) return "a like name and the same birth";
  if (areAlike && plain(asked.village) === plain(person.village)) {
    return "a like name in the same village";
  }
  return null;
}

/**
 * Two people of one camp with one code cannot be told apart by it on an order sheet.
 *
 * @param {Asked} asked
 * @param {PersonRow} person
 * @returns {string | null}
 */
const codeLikeness = (asked, person) =>
  bare(asked.camp_code) === bare(person.camp_code) ? "the same camp code" : null;

/**
 * @param {Asked} asked
 * @param {PersonRow} person
 */
function haveSameBirth(asked, person) {
  if (asked.birth_date && person.birth_date) return asked.birth_date === person.birth_date;
  const years = [yearOf(asked), yearOf(person)];
  return years[0] !== null && years[0] === years[1];
}

/** @param {{ birth_date: string | null, birth_year: number | null }} known */
function yearOf({ birth_date, birth_year }) {
  return birth_date ? Number(birth_date.slice(0, 4)) : birth_year;
}

/** Accents of Latin letters and the vowel points of Arabic; signs of other scripts are letters. */
const POINTS = /[\u0300-\u036f\u064b-\u065f\u0670]/g;

/** @param {string} code */
const bare = (code) => code.replace(/[^\p{L}\p{N}]/gu, "").toLowerCase();

/**
 * Return a name without case, accents, points, or the order of its words.
 *
 * @param {string} text
 */
function plain(text) {
  const letters = text.normalize("NFKD").replace(POINTS, "").toLowerCase();
  const words = letters.replace(/[^\p{L}\p{M}\p{N}]+/gu, " ");
  return words.trim().split(" ").sort().join(" ");
}

/** @param {string | null} phone */
function digits(phone) {
  return (phone ?? "").replace(/\D/g, "");
}

/**
 * Say whether one letter added, left out or changed turns one text into the other.
 *
 * @param {string} a
 * @param {string} b
 */
function oneSlipApart(a, b) {
  const [long, short] = a.length >= b.length ? [a, b] : [b, a];
  if (long === "" || long.length - short.length > 1) return false;
  let at = 0;
  while (at < short.length && long[at] === short[at]) at += 1;
  const rest = long.slice(at + 1);
  return rest === short.slice(at) || rest === short.slice(at + 1);
}
