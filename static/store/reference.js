/** The reference records that the base adopted, withdrew, revoked or recalled. */
import { withDatabase } from "./idb.js";
import { entryOf } from "./journal.js";
import { openedRows } from "./rows.js";

/**
 * @import { Entry } from "./journal.js"
 */

const KINDS = [
  "catalogue.adopted",
  "limits.adopted",
  "vault_model.adopted",
  "vault_model.withdrawn",
  "key.revoked",
  "core.recalled",
];

/**
 * Return every such record; the core picks what is in force.
 *
 * @returns {Promise<Entry[]>}
 */
export async function referenceEntries() {
  const rows = await withDatabase(async (database) => {
    const index = database.transaction("records").store.index("kind");
    return (await Promise.all(KINDS.map((kind) => index.getAll(kind)))).flat();
  });
  return (await openedRows(rows.filter(({ state }) => state === "ok"))).map(entryOf);
}
