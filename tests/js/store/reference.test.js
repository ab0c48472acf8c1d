/** What the core is given beside a person's records: what the base adopted, withdrew or ended. */
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { beforeEach, test } from "node:test";
import { otherDevice, pageOf } from "./base.js";
import { emptyDevice, enrolHere, keepReceipt } from "./device.js";
import { keepKeys } from "../../../static/store/keys.js";
import { noteEpoch, REFERENCE_SITE, storePage } from "../../../static/store/pages.js";
import { referenceEntries } from "../../../static/store/reference.js";

const VECTORS = new URL("../../vectors/kinds.json", import.meta.url);
/** @type {{ payloads: Record<string, any> }} */
const { payloads } = JSON.parse(readFileSync(VECTORS, "utf8"));
/** What an approval falls with (I12), or what a plan is made of: the server's core is given as much. */
const HEEDED = [
  ...["catalogue.adopted", "core.recalled", "key.revoked", "limits.adopted"],
  ...["vault_model.adopted", "vault_model.withdrawn"],
];

/** @type {Awaited<ReturnType<typeof otherDevice>>} */
let base;

beforeEach(async () => {
  await emptyDevice();
  await enrolHere();
  base = await otherDevice("desk");
  await keepKeys([base.key]);
  await noteEpoch("1");
});

/** One record of each kind that the base keeps for every site, as it sends them. */
async function allOfThem() {
  const kinds = Object.values(payloads).filter(({ site }) => site === REFERENCE_SITE);
  const made = [];
  for (const { kind, person, eye, role, site, reason, body } of kinds) {
    made.push(await base.make({ kind, person, eye, role, site, reason, body }));
  }
  assert.equal(await storePage(pageOf(made, { site: REFERENCE_SITE })), true);
  return made;
}

async function kindsGiven() {
  return (await referenceEntries()).map(({ payload }) => payload.kind).sort();
}

test("everything that a plan must heed is given", async () => {
  await allOfThem();
  assert.deepEqual(await kindsGiven(), HEEDED);
});

test("what a restored base will not have again is no longer given", async () => {
  const made = await allOfThem();
  await noteEpoch("2");
  const catalogue = made.find(({ payload }) => payload.kind === "catalogue.adopted");
  const reason = { code: "role.not_held", message: "No." };
  await keepReceipt({ id: catalogue?.id ?? "", result: "refused", n: null, reason }, "2");
  assert.deepEqual(await kindsGiven(), HEEDED.filter((kind) => kind !== "catalogue.adopted"));
});
