/** Lenses that lie in other people, by what this device holds (invariant I20). */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { allOf, emptyDevice, enrolHere } from "./device.js";
import { otherDevice, pageOf } from "./base.js";
import { withDatabase } from "../../../static/store/idb.js";
import { implantedInOthers } from "../../../static/store/implanted.js";
import { keepKeys } from "../../../static/store/keys.js";
import { storePage } from "../../../static/store/pages.js";
import { readVectors } from "../records/vectors.js";

const { payloads } = readVectors("kinds");
const [ONE, OTHER] = ["01933a2b-7c00-7000-8000-000000000001", "01933a2b-7c00-7000-8000-000000000002"];
const SITES = ["saltpan", "north-quay"];
/** @type {Awaited<ReturnType<typeof otherDevice>>} */
let desk;
let arrived = 0;

beforeEach(async () => {
  await emptyDevice();
  await enrolHere();
  desk = await otherDevice("desk");
  arrived = 0;
  await keepKeys([desk.key]);
});

/** @param {Partial<Parameters<typeof desk.make>[0]>} asked */
async function arrives(asked) {
  const made = await desk.make(/** @type {any} */ ({ role: "desk", eye: "R", site: "saltpan", ...asked }));
  assert.equal(await storePage(pageOf([made], { from: arrived, site: "saltpan" })), true);
  arrived += 1;
  return made.id;
}

/** @param {string} person @param {string | null} serial */
const surgery = (person, serial) =>
  arrives({ kind: "surgery.implanted", person, body: { ...payloads["surgery.implanted"].body, serial } });

/** @param {string} serial @param {string[]} [own] */
const found = async (serial, own = [ONE]) => (await implantedInOthers(serial, SITES, own)).map(({ id }) => id);

test("a lens of another person by its serial number, whatever its case and spaces", async () => {
  const there = await surgery(OTHER, "ser 9");
  await surgery(OTHER, null);
  assert.equal((await found("SER9")).includes(there), true);
  assert.deepEqual(await found("SER8"), []);
});

test("not the person's own: the calculation has those records already", async () => {
  await surgery(ONE, "SER9");
  assert.deepEqual(await found("SER9"), []);
});

test("what took the surgery out goes with it, so that the calculation can tell that it stands no more", async () => {
  const there = await surgery(OTHER, "SER9");
  const gone = await arrives({ kind: "record.void", person: OTHER, reason: "Misread", body: { target: there } });
  assert.deepEqual((await found("SER9")).sort(), [there, gone].sort());
});

test("a surgery that does not open keeps no other from being found", async () => {
  const there = await surgery(OTHER, "SER9");
  const spoilt = await surgery("01933a2b-7c00-7000-8000-000000000003", "SER9");
  const row = (await allOf("records")).find(({ id }) => id === spoilt);
  await withDatabase((database) => database.put("records", { ...row, box: { ...row.box, bytes: row.box.bytes.slice(1) } }));
  assert.deepEqual(await found("SER9"), [there]);
});
