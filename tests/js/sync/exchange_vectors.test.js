/** A phone by the golden vectors of the exchange: the same answers that the base's tests hold it to. */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { readVectors } from "../records/vectors.js";
import { allOf, emptyDevice, enrolHere, keepReceipt } from "../store/device.js";
import { setAside } from "../../../static/store/aside.js";
import { keepKeys } from "../../../static/store/keys.js";
import { envelopesOf, refused, waiting } from "../../../static/store/outbox.js";
import { cursorOf, noteEpoch, storePage } from "../../../static/store/pages.js";

/** All receipts of the vectors are of the restored base. */
const LAST_LIFE = "2";
const { site, devices, records, base, phone } = readVectors("sync_exchange");

beforeEach(async () => {
  await emptyDevice();
  await enrolHere();
  const named = devices.filter((/** @type {any} */ { enrolled }) => enrolled);
  await keepKeys(named.map((/** @type {any} */ key) => ({ ...key, name: "x", label: "x", revoked: 0 })));
});

/** @param {string[]} names */
const idsOf = (names) => names.map((name) => records[name].id).sort();

/** @param {{ id: string }[]} rows */
const sortedIds = (rows) => rows.map(({ id }) => id).sort();

/** @param {any} step */
function pageOf({ page, epoch, swap = {} }) {
  const { answer } = base.find((/** @type {any} */ { name }) => name === page);
  const rows = answer.records.map((/** @type {string} */ name, /** @type {number} */ index) => {
    const { p, kid, sig } = records[swap[name] ?? name];
    return { p, kid, sig, n: answer.from + index + 1, received_at: "2026-11-25T05:00:00.000Z" };
  });
  return { ...answer, epoch, site, records: rows };
}

/** @param {any} step */
async function takePage(step) {
  assert.equal(await storePage(pageOf(step), { keysAreNew: true }), step.joins, step.name);
  assert.deepEqual(sortedIds(await allOf("records")), idsOf(step.held), step.name);
  assert.deepEqual((await setAside()).map(({ n }) => n), step.aside, step.name);
}

/** @param {any} step */
async function hear(step) {
  assert.equal(await noteEpoch(step.epoch), step.restarts, step.name);
  const waits = await waiting();
  assert.deepEqual(sortedIds(waits), idsOf(step.outbox), step.name);
  // What is offered again are the very bytes that came.
  const sent = waits.map(({ id }) => Object.values(records).find((/** @type {any} */ one) => one.id === id));
  const bare = sent.map(({ p, kid, sig }) => ({ p, kid, sig }));
  assert.deepEqual((await envelopesOf(waits)).envelopes, bare, step.name);
}

/** @param {any} step */
async function takeReceipts(step) {
  for (const { record, result, n, code } of step.receipts) {
    const reason = code ? { code, message: "As the base says it." } : null;
    await keepReceipt({ id: records[record].id, result, n, reason }, LAST_LIFE);
  }
  assert.deepEqual(sortedIds(await waiting()), idsOf(step.waiting), step.name);
  assert.deepEqual(sortedIds(await refused()), idsOf(step.refused), step.name);
}

test("a phone makes of each answer what is written", async () => {
  for (const step of phone) {
    if (step.page) await takePage(step);
    else if (step.receipts) await takeReceipts(step);
    else await hear(step);
    if ("cursor" in step) assert.equal(await cursorOf(site), step.cursor, step.name);
  }
});
