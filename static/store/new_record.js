/**
 * Making a record: who says what, where in the chain of their key, checked, canonical and signed.
 *
 * @import { Identity } from "./identity.js"
 *
 * @typedef {object} NewRecord
 * @property {string} kind
 * @property {string | null} person
 * @property {"R" | "L" | null} eye
 * @property {string} [site] the person's site; by default the site where the author works now
 * @property {string | null} [replaces] id of the record this one corrects
 * @property {string | null} [reason] why it is corrected or taken back
 * @property {Record<string, any>} body
 *
 * @typedef {object} StoredRecord
 * @property {string} id
 * @property {string} p
 * @property {string} kid
 * @property {string} sig
 * @property {number} seq
 * @property {string | null} person
 * @property {string} site
 * @property {string} kind
 * @property {any} payload
 * @property {"ok" | "refused"} state
 * @property {number | null} received number the base gave it within its site
 * @property {string | null} receivedAt
 */
import { seal } from "../records/envelope.js";
import { KINDS } from "../records/kinds.js";
import { rolesAt } from "./identity.js";
import { NotKept } from "./not_kept.js";

/**
 * Return the record asked for, signed as the next one after `head`, as it is stored.
 *
 * @param {Identity} identity
 * @param {NewRecord} asked
 * @param {{ seq: number, id: string | null }} head
 * @returns {Promise<StoredRecord>}
 * @throws {NotKept | BadRecord} it may not be written; nothing was stored
 */
export async function makeRow(identity, asked, head) {
  const payload = payloadOf(identity, asked, head);
  const { id, envelope } = await seal(payload, identity.privateKey);
  const { seq, person, site, kind } = payload;
  const arrival = { state: /** @type {const} */ ("ok"), received: null, receivedAt: null };
  return { id, ...envelope, seq, person, site, kind, payload, ...arrival };
}

/**
 * @param {Identity} identity
 * @param {NewRecord} asked
 * @param {{ seq: number, id: string | null }} head
 */
function payloadOf(identity, asked, head) {
  const site = asked.site ?? identity.site;
  if (!site) throw new NotKept("Choose the camp you work at, then save again. Nothing was saved.");
  return {
    v: 1,
    kind: asked.kind,
    person: asked.person,
    eye: asked.eye,
    site,
    author: identity.user.id,
    role: roleFor(identity, asked.kind, site),
    key: identity.kid,
    seq: head.seq + 1,
    prev: head.id,
    wall: new Date().toISOString(),
    replaces: asked.replaces ?? null,
    reason: asked.reason ? asked.reason.normalize("NFC") : null,
    body: composed(asked.body),
  };
}

/**
 * Return plain data with every text in Unicode's composed form, as records carry it; keyboards
 * differ in how they write an accent.
 *
 * @param {any} value
 * @returns {any}
 */
function composed(value) {
  if (typeof value === "string") return value.normalize("NFC");
  if (Array.isArray(value)) return value.map(composed);
  if (value === null || typeof value !== "object") return value;
  return Object.fromEntries(Object.entries(value).map(([name, part]) => [name, composed(part)]));
}

/**
 * @param {Identity} identity
 * @param {string} kind
 * @param {string} site
 */
function roleFor(identity, kind, site) {
  const { roles, title } = KINDS[kind];
  const role = rolesAt(identity, site).find((held) => roles.includes(held));
  if (role) return role;
  throw new NotKept(
    `Your roles at this site do not include recording "${title}". Nothing was saved.`,
  );
}
