/** Fetching what others recorded: the list of keys, then each site's records from where we are. */
import { readFact } from "../store/meta.js";
import { keepKeys } from "../store/keys.js";
import { cursorOf, KeyUnknown, noteEpoch, storePage } from "../store/pages.js";
import { getJson, requireShape } from "./http.js";

const PAGE = 200;
/** Catalogue and limits belong to every site and to none. */
const REFERENCE_SITE = "all";
const SHAPE = { site: "string", from: "number", to: "number", head: "number", records: "array" };

/**
 * Fetch everything new at a person's sites.
 *
 * @param {string[]} sites
 * @returns {Promise<number>} records received
 */
export async function pull(sites) {
  await pullKeys();
  let received = 0;
  for (const site of [REFERENCE_SITE, ...sites]) received += await pullSite(site);
  return received;
}

async function pullKeys() {
  const answer = requireShape(await getJson("/sync/keys"), { keys: "array" });
  await keepKeys(answer.keys);
}

/** @param {string} site */
async function pullSite(site) {
  let received = 0;
  for (;;) {
    const page = await fetchPage(site);
    if (page.restart) {
      // A base in a new life twice in one answer is no base of ours; the next exchange asks again.
      if (!(await noteEpoch(page.epoch))) return received;
      continue;
    }
    if (!(await storeWithKeys(page))) return received;
    received += page.records.length;
    if (page.to >= page.head || page.records.length === 0) return received;
  }
}

/** @param {string} site */
async function fetchPage(site) {
  const after = String(await cursorOf(site));
  const epoch = (await readFact("epoch")) ?? "";
  const query = new URLSearchParams({ site, after, epoch, limit: String(PAGE) });
  const page = requireShape(await getJson(`/sync/pull?${query}`), SHAPE);
  return { ...page, epoch: String(page.epoch), restart: Boolean(page.restart) };
}

/** @param {any} page */
async function storeWithKeys(page) {
  try {
    return await storePage(page);
  } catch (error) {
    if (!(error instanceof KeyUnknown)) throw error;
    // The device may have been enrolled since the list was fetched.
    await pullKeys();
    return storePage(page);
  }
}
