/**
 * A person who may be registered twice, and one whose registrations the base has joined.
 *
 * @import { Identity } from "../store/identity.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { Casefile } from "./casefile.js"
 * @typedef {{ person: PersonRow, why: string, isSame: boolean }} Alike
 */
import { html, nothing } from "lit-html";
import { possibleDuplicates } from "../store/duplicates.js";
import { clinicalSites } from "../store/identity.js";
import { entriesOfPerson, keepRecord } from "../store/journal.js";
import { identifiers } from "../ui/page.js";
import { siteTitle } from "./frame.js";

const COMPARED = "person.compared";

/**
 * Return who on this phone may be the same person, but for those whom somebody told apart.
 *
 * @param {PersonRow} row
 * @param {Identity} identity
 * @returns {Promise<Alike[]>}
 */
export async function alikeHere(row, identity) {
  const [mine, found] = await Promise.all([
    entriesOfPerson(row.id), possibleDuplicates(row, row.site, clinicalSites(identity)),
  ]);
  const under = new Set(mine.map(({ payload }) => payload.person));
  const others = found.filter(({ person }) => person.id !== row.id && !under.has(person.id));
  const judged = await Promise.all(others.map(async (one) => {
    const said = answers([...mine, ...(await entriesOfPerson(one.person.id))], under, one.person.id);
    return { ...one, said };
  }));
  return judged
    .filter(({ said }) => said.size === 0 || said.has("same"))
    .map(({ person, why, said }) => ({ person, why, isSame: said.has("same") }));
}

/**
 * @param {{ id: string, payload: any }[]} entries of both
 * @param {Set<string>} under the registrations of the one
 * @param {string} other
 * @returns {Set<string>} what was said of the two
 */
function answers(entries, under, other) {
  const gone = new Set(entries.map(({ payload }) => payload.body.target));
  const undone = entries.filter(({ id, payload }) => payload.kind === "person.merged" && gone.has(id));
  for (const { payload } of undone) gone.add(payload.body.compared);
  const compared = entries.filter(({ id, payload: { kind, person, body } }) =>
    kind === COMPARED && !gone.has(id) &&
      (under.has(person) ? body.other === other : person === other && under.has(body.other)));
  return new Set(compared.map(({ payload }) => payload.body.answer));
}

/**
 * Keep that somebody alike is the same person; the base joins the two.
 *
 * @param {PersonRow} row
 * @param {string} other
 */
export const saySame = ({ id: person, site }, other) =>
  keepRecord({ kind: COMPARED, person, eye: null, site, body: { other, answer: "same" } });

/**
 * @param {Alike[]} alike
 * @param {Identity} identity
 * @param {(other: string) => void} say
 */
export function alikeSection(alike, identity, say) {
  return alike.map(({ person, why, isSame }) => html`<div class="notice gap-top">
    <p><span class="strong">May be registered twice.</span> <a class="link"
      href="#/person/${person.id}">${person.name}, ${identifiers(person)}, ${siteTitle(identity, person.site)}</a>: ${why}.</p>
    ${isSame
      ? html`<p>Somebody said that this is the same person. The base joins the two; nothing is
          ordered before.</p>`
      : html`<button type="button" class="btn" @click=${() => say(person.id)}>It is the same
          person</button>`}
  </div>`);
}

/** @param {Casefile} casefile */
export function joinedSection({ fold: { joined } }) {
  if (!joined) return nothing;
  const places = new Set(joined.joinings.map((/** @type {any} */ { place }) => place));
  return html`<p class="notice gap-top"><span class="strong">One person, ${joined.registrations.length}
    registrations</span>, joined at the base: ${[...places].join(", ")}.</p>`;
}
