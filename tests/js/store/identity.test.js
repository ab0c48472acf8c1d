/** Who works here: passphrases without the network, several people on one phone, drafts that stay. */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { AMBLER, emptyDevice, enrolHere, PASSPHRASE } from "./device.js";
import { dropDraft, keepDraft, openDrafts, readDraft } from "../../../static/store/drafts.js";
import { closeDatabase } from "../../../static/store/idb.js";
import {
  chooseSite,
  clinicalSites,
  currentIdentity,
  makeCurrent,
  peopleOfThisDevice,
} from "../../../static/store/identity.js";
import { keyWorks, makeKey } from "../../../static/store/signing_key.js";
import { checkPassphrase, unlock } from "../../../static/store/unlock.js";
import { heldKeys, lock } from "../../../static/store/vault.js";

const VERRILL = { id: "u-verrill", name: "Dr S. Verrill", roles: [{ role: "surgeon", site: "saltpan" }] };

beforeEach(async () => {
  await emptyDevice();
  await enrolHere(AMBLER);
});

test("a second person's enrolment leaves the first one's key in place", async () => {
  const first = await currentIdentity();
  await enrolHere(VERRILL);
  assert.equal((await currentIdentity())?.user.id, "u-verrill");
  assert.equal((await unlock("u-ambler", PASSPHRASE)).ok, true);
  assert.equal((await currentIdentity())?.kid, first?.kid);
});

test("with nobody current the people of the phone are still listed", async () => {
  await enrolHere(VERRILL);
  await makeCurrent(null);
  assert.equal(await currentIdentity(), null);
  const listed = (await peopleOfThisDevice()).map(({ id, current }) => [id, current]);
  assert.deepEqual(listed.sort(), [["u-ambler", false], ["u-verrill", false]]);
});

test("a wrong passphrase makes nobody current", async () => {
  await makeCurrent(null);
  assert.equal((await unlock("u-ambler", "wrong")).ok, false);
  assert.equal(await currentIdentity(), null);
});

test("only a site where the person has a role can be chosen", async () => {
  await chooseSite("north-quay");
  assert.equal((await currentIdentity())?.site, "north-quay");
  await assert.rejects(chooseSite("upper-glen"), /no role at that site/);
});

test("an administrator's site is not one whose records are read", async () => {
  const identity = /** @type {any} */ (await currentIdentity());
  identity.user.roles.push({ role: "administrator", site: "harbour" });
  assert.deepEqual(clinicalSites(identity), ["saltpan", "north-quay"]);
});

test("one person's unlocking is not another's", async () => {
  await enrolHere(VERRILL);
  assert.equal((await checkPassphrase(PASSPHRASE)).ok, true);
  // Another tab gave the phone to somebody else: this one's keys are not theirs.
  await makeCurrent("u-ambler");
  assert.equal(await currentIdentity(), null);
});

test("locked, nobody works here, and the last one is still named", async () => {
  lock();
  assert.equal(await currentIdentity(), null);
  assert.deepEqual(await peopleOfThisDevice(), [
    { id: "u-ambler", name: "R. Ambler", current: true, locked: null },
  ]);
});

test("a key that is not the one its name says does not pass the self-test", async () => {
  const [one, two] = [await makeKey(), await makeKey()];
  assert.equal(await keyWorks(one, one.signingKey), true);
  assert.equal(await keyWorks(one, two.signingKey), false);
  assert.equal(await keyWorks({ ...one, kid: two.kid }, one.signingKey), false);
});

test("the keys in use cannot be exported", async () => {
  const privateKey = /** @type {CryptoKey} */ ((await currentIdentity())?.privateKey);
  await assert.rejects(crypto.subtle.exportKey("pkcs8", privateKey));
  await assert.rejects(crypto.subtle.exportKey("raw", /** @type {any} */ (heldKeys()).dataKey));
});

test("a draft is there after the app was killed, until it is dropped", async () => {
  await keepDraft("capture/ID/R/reading.refraction", { sphere: "−8.2" });
  await closeDatabase();
  assert.deepEqual(await readDraft("capture/ID/R/reading.refraction"), { sphere: "−8.2" });
  assert.equal((await openDrafts()).length, 1);
  await dropDraft("capture/ID/R/reading.refraction");
  assert.equal(await readDraft("capture/ID/R/reading.refraction"), null);
});
