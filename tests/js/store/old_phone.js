/** A phone as version 1 of the store left it: everything in the clear, keys that cannot be exported. */
import { openDB } from "../../../static/node_modules/idb/build/index.js";
import { seal, toBase64url } from "../../../static/records/envelope.js";
import { newKey } from "../../../static/records/signing.js";
import { AMBLER, PASSPHRASE, registration, whiteToWhite } from "./device.js";

export const QUILL = { id: "u-quill", name: "T. Quill", roles: [{ role: "optometrist", site: "saltpan" }] };
const ROUNDS = 10;

/** Make it; return the key and the person who is registered there. */
export async function oldPhone() {
  const database = await openDB("lampside", 1, { upgrade: createVersion1 });
  const { kid, privateKey, spki } = await newKey();
  const key = { kid, privateKey, spki: toBase64url(spki) };
  const asked = registration("Ilse Hartnoll");
  const first = await clearRow(key, { ...asked, seq: 1, prev: null });
  const second = await clearRow(key, { ...whiteToWhite(asked.person), seq: 2, prev: first.id });
  for (const row of [first, second]) {
    await database.add("records", row);
    await database.add("outbox", outboxRow(row));
  }
  await database.put("heads", { kid, seq: 2, id: second.id });
  await database.put("drafts", { key: "new-person", value: { name: "Oda Brandreth" }, saved: "x" });
  await database.put("summaries", { person: asked.person, summary: { note: "Ilse" } });
  await database.put("seen", { key: `u-ambler/${asked.person}.R`, value: { note: "Ilse" } });
  await database.put("meta", { name: "heard", value: { lastHeard: "2026-11-25T05:00:00.000Z" } });
  for (const user of [AMBLER, QUILL]) await database.put("identities", await identity(user, key));
  await database.put("meta", { name: "current", value: AMBLER.id });
  database.close();
  return { kid, person: asked.person };
}

/** The stores of version 1, as it made them. @param {any} database */
function createVersion1(database) {
  const records = database.createObjectStore("records", { keyPath: "id" });
  records.createIndex("person", "person");
  records.createIndex("kind", "kind");
  records.createIndex("site_kind", ["site", "kind"]);
  records.createIndex("chain", ["kid", "seq"], { unique: true });
  const outbox = database.createObjectStore("outbox", { keyPath: "id" });
  outbox.createIndex("chain", ["kid", "seq"], { unique: true });
  outbox.createIndex("person", "person");
  const others = { heads: "kid", cursors: "site", identities: "userId", keys: "kid", drafts: "key", summaries: "person", seen: "key", meta: "name" };
  for (const [name, keyPath] of Object.entries(others)) database.createObjectStore(name, { keyPath });
}

/**
 * @param {{ kid: string, privateKey: CryptoKey }} key
 * @param {any} asked
 */
async function clearRow({ kid, privateKey }, { kind, person, eye, body, seq, prev }) {
  const payload = {
    ...{ v: 1, kind, person, eye, site: "saltpan", author: AMBLER.id, role: "optometrist", key: kid },
    ...{ seq, prev, wall: "2026-11-25T04:45:12.120Z", replaces: null, reason: null, body },
  };
  const { id, envelope } = await seal(payload, privateKey);
  return { id, ...envelope, seq, person, site: "saltpan", kind, payload, state: "ok", received: null, receivedAt: null };
}

/** @param {any} row */
function outboxRow({ id, kid, seq, kind, person, site, payload: { eye, author, wall } }) {
  return { id, kid, seq, kind, person, eye, site, author, wall, tries: 0, state: "waiting", code: null, message: null };
}

/**
 * @param {typeof AMBLER} user
 * @param {object} key
 */
async function identity(user, key) {
  const salt = crypto.getRandomValues(new Uint8Array(16));
  const typed = await crypto.subtle.importKey("raw", new TextEncoder().encode(PASSPHRASE), "PBKDF2", false, ["deriveBits"]);
  const how = { name: "PBKDF2", hash: "SHA-256", salt, iterations: ROUNDS };
  const hash = new Uint8Array(await crypto.subtle.deriveBits(how, typed, 256));
  const rest = { label: "old", isEnrolled: true, triesLeft: 5, site: "saltpan", sites: [{ id: "saltpan", title: "Saltpan" }] };
  return { userId: user.id, user, ...key, verifier: { salt, hash, rounds: ROUNDS }, ...rest };
}
