/** Fetching what others recorded: the list of keys, then each site's records from where we are. */
import { readFact } from "../store/meta.js";
import { keepKeys } from "../store/keys.js";
import { setAside } from "../store/aside.js";
import {
  cursorOf,
  KeyUnknown,
  noteEpoch,
  PageRefused,
  REFERENCE_SITE,
  storeAside,
  storePage,
} from "../store/pages.js";
import { getJson, RefusedError, requireShape } from "./http.js";

const PAGE = 200;
/** So many set-aside records are asked for once more in one exchange. */
const ASKED_AGAIN = 10;
const SHAPE = { site: "string", from: "number", to: "number", head: "number", records: "array" };

/**
 * Fetch everything new at a person's sites; a site whose records can't be had does not keep the
 * others from being fetched.
 *
 * @param {string[]} sites
 * @returns {Promise<number>} records received
 * @throws {Error} what kept the first such site's records away
 */
export async function pull(sites) {
  await pullKeys();
  await pullAside([REFERENCE_SITE, ...sites]);
  let received = 0;
  /** @type {Error[]} */
  const failures = [];
  for (const site of [REFERENCE_SITE, ...sites]) {
    try {
      received += await pullSite(site);
    } catch (error) {
      if (!(error instanceof PageRefused || error instanceof RefusedError)) throw error;
      failures.push(error);
    }
  }
  if (failures[0]) throw failures[0];
  return received;
}

/**
 * Ask again for some of what was set aside: a newer app or list of keys may read it now. What is of
 * a site of somebody else on this phone waits for them: the base would refuse it.
 *
 * @param {string[]} sites
 */
async function pullAside(sites) {
  const readable = (await setAside()).filter(({ site }) => sites.includes(site));
  for (const { site, n } of readable.slice(0, ASKED_AGAIN)) {
    const page = await fetchPage(site, n - 1, 1);
    if (!page.restart) await storeAside(page);
  }
}

async function pullKeys() {
  const answer = requireShape(await getJson("/sync/keys"), { keys: "array" });
  await keepKeys(answer.keys);
}

/** @param {string} site */
async function pullSite(site) {
  let received = 0;
  for (;;) {
    const page = await fetchPage(site, await cursorOf(site), PAGE);
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

/**
 * @param {string} site
 * @param {number} from
 * @param {number} limit
 */
async function fetchPage(site, from, limit) {
  const epoch = (await readFact("epoch")) ?? "";
  const query = new URLSearchParams({ site, after: String(from), epoch, limit: String(limit) });
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
    return storePage(page, { keysAreNew: true });
  }
}
