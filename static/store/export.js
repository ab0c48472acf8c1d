/**
 * The outbox as a file that only the base hospital can open: for a phone that is to be given up, or
 * whose people cannot unlock it. It needs no key: what lies on the disk is sealed already.
 *
 * @typedef {object} OutboxFile
 * @property {1} lampside_outbox
 * @property {string} made
 * @property {{ name: string, data_key: string }} recovery the data key, wrapped to the base's key
 * @property {{ id: string, kid: string, seq: number, iv: string, box: string }[]} records in chain order
 */
import { toBase64url } from "../records/envelope.js";
import { withDatabase } from "./idb.js";
import { vaultHere } from "./sealing.js";

/**
 * Return the file, or null where the base had no recovery key when this phone was first locked.
 *
 * @returns {Promise<OutboxFile | null>}
 */
export async function outboxFile() {
  const recovery = (await vaultHere())?.recovery;
  if (!recovery) return null;
  return {
    lampside_outbox: 1,
    made: new Date().toISOString(),
    recovery: { name: recovery.name, data_key: toBase64url(recovery.bytes) },
    records: (await sealedOutbox()).map(({ id, kid, seq, box }) => ({
      ...{ id, kid, seq },
      iv: toBase64url(box.iv),
      box: toBase64url(box.bytes),
    })),
  };
}

/** @returns {Promise<import("./rows.js").KeptRecord[]>} what the base has not acknowledged */
function sealedOutbox() {
  return withDatabase(async (database) => {
    const transaction = database.transaction(["outbox", "records"]);
    const rows = await transaction.objectStore("outbox").index("chain").getAll();
    const held = rows.filter(({ state }) => state !== "withdrawn");
    return Promise.all(held.map(({ id }) => transaction.objectStore("records").get(id)));
  });
}
