/**
 * Records as they lie on the disk: what an index needs in the clear, what was said in a box.
 *
 * In the clear: ids that mean nothing outside, the key's name, the place in its chain, site and
 * kind. The payload and the signature are sealed. What is opened must say the same as the clear
 * part, so that nobody can move a reading to another person by editing an index.
 *
 * @import { Box } from "./box.js"
 * @import { StoredRecord } from "./new_record.js"
 * @typedef {Omit<StoredRecord, "p" | "sig" | "payload"> & { box: Box }} KeptRecord
 */
import { BoxBroken, openBox, sealBox } from "./box.js";
import { dataKey } from "./vault.js";

const CLEAR = /** @type {const} */ (["kid", "seq", "person", "site", "kind"]);

/**
 * Return a record as it is written.
 *
 * @param {StoredRecord} row
 * @param {CryptoKey} [by] the data key; by default the one in memory
 * @returns {Promise<KeptRecord>}
 */
export async function keptRow({ p, sig, payload: _, ...clear }, by = dataKey()) {
  return { ...clear, box: await sealBox(by, `records/${clear.id}`, { p, sig }) };
}

/**
 * Return a record as it was made.
 *
 * @param {KeptRecord} kept
 * @returns {Promise<StoredRecord>}
 * @throws {Locked | BoxBroken}
 */
export async function openedRow({ box, ...clear }) {
  const { p, sig } = await openBox(dataKey(), `records/${clear.id}`, box);
  const payload = payloadIn(p);
  const { key: kid, seq, person, site, kind } = payload;
  const said = { kid, seq, person, site, kind };
  if (CLEAR.some((name) => said[name] !== clear[name])) {
    throw new BoxBroken("A record on this phone was moved to another place. Tell the base desk.");
  }
  return { ...clear, p, sig, payload };
}

/**
 * Return many records as they were made.
 *
 * @param {KeptRecord[]} kept
 * @returns {Promise<StoredRecord[]>}
 */
export function openedRows(kept) {
  return Promise.all(kept.map(openedRow));
}

/**
 * Return what of many records opens, and what does not: a list shows the rest and says so.
 *
 * @param {KeptRecord[]} kept
 * @returns {Promise<{ rows: StoredRecord[], broken: KeptRecord[] }>}
 */
export async function readableRows(kept) {
  /** @type {KeptRecord[]} */
  const broken = [];
  const rows = await Promise.all(kept.map((one) => orBroken(() => openedRow(one), () => void broken.push(one))));
  return { rows: rows.filter((row) => row !== null), broken };
}

/**
 * Return what opens; null, having said so, where its box was changed from outside.
 *
 * @template T
 * @param {() => Promise<T>} open
 * @param {() => void} [onBroken]
 * @returns {Promise<T | null>}
 */
export async function orBroken(open, onBroken = () => {}) {
  try {
    return await open();
  } catch (error) {
    if (!(error instanceof BoxBroken)) throw error;
    onBroken();
    return null;
  }
}

/**
 * Return the payload in base64url text that was checked when it was made or came in: the box proves
 * that it is the same, so it is not looked at a second time. A list of people reads hundreds.
 *
 * @param {string} p
 */
function payloadIn(p) {
  const binary = atob(p.replaceAll("-", "+").replaceAll("_", "/"));
  const bytes = new Uint8Array(binary.length);
  for (let index = 0; index < binary.length; index += 1) bytes[index] = binary.charCodeAt(index);
  return JSON.parse(new TextDecoder().decode(bytes));
}
