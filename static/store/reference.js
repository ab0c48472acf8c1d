/** The lens catalogue, limits and vault models, adopted or withdrawn, as records that the base adopted. */
import { withDatabase } from "./idb.js";
import { entryOf } from "./journal.js";

/**
 * @import { Entry } from "./journal.js"
 */

const KINDS = [
  "catalogue.adopted",
  "limits.adopted",
  "vault_model.adopted",
  "vault_model.withdrawn",
];

/**
 * Return every adoption and withdrawal among them; the core picks what is in force.
 *
 * @returns {Promise<Entry[]>}
 */
export function referenceEntries() {
  return withDatabase(async (database) => {
    const index = database.transaction("records").store.index("kind");
    const rows = (await Promise.all(KINDS.map((kind) => index.getAll(kind)))).flat();
    return rows.filter(({ state }) => state === "ok").map(entryOf);
  });
}
