/** Who works here: passphrases without the network, several people on one phone, drafts that stay. */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { AMBLER, emptyDevice, enrolHere } from "./device.js";
import { dropDraft, keepDraft, openDrafts, readDraft } from "../../../static/store/drafts.js";
import { changeEnrolment } from "../../../static/store/enrolments.js";
import { closeDatabase } from "../../../static/store/idb.js";
import {
  checkPassphrase,
  chooseSite,
  clinicalSites,
  currentIdentity,
  makeCurrent,
  peopleOfThisDevice,
  resume,
} from "../../../static/store/identity.js";
import { makeVerifier, matches } from "../../../static/store/passphrase.js";
import { keyWorks, makeKey } from "../../../static/store/signing_key.js";

const VERRILL = { id: "u-verrill", name: "Dr S. Verrill", roles: [{ role: "surgeon", site: "saltpan" }] };
const verifier = await makeVerifier("tern islands demo");

/** @param {typeof AMBLER} user */
async function enrolWithPassphrase(user) {
  await enrolHere(user);
  await changeEnrolment(user.id, () => ({ verifier }));
}

beforeEach(async () => {
  await emptyDevice();
  await enrolWithPassphrase(AMBLER);
});

test("the verifier takes the one passphrase, however its accents are typed, and no other", async () => {
  const accented = await makeVerifier("Zo\u00eb goes");
  assert.equal(accented.rounds, 600_000);
  assert.equal(await matches(accented, "Zoe\u0308 goes"), true);
  assert.equal(await matches(accented, "Zoe goes"), false);
});

test("five wrong passphrases close the offline door, even to the right one", async () => {
  for (const left of [4, 3, 2, 1, 0]) {
    assert.deepEqual((await checkPassphrase("wrong")).triesLeft, left);
  }
  const answer = await checkPassphrase("tern islands demo");
  assert.equal(answer.ok, false);
  assert.match(answer.why ?? "", /Sign in once with the network on/);
});

test("the right passphrase gives the tries back", async () => {
  await checkPassphrase("wrong");
  assert.deepEqual(await checkPassphrase("tern islands demo"), { ok: true, triesLeft: 5, why: null });
  assert.equal((await checkPassphrase("wrong")).triesLeft, 4);
});

test("a second person's enrolment leaves the first one's key in place", async () => {
  const first = await currentIdentity();
  await enrolWithPassphrase(VERRILL);
  assert.equal((await currentIdentity())?.user.id, "u-verrill");
  assert.equal((await resume("u-ambler", "tern islands demo")).ok, true);
  assert.equal((await currentIdentity())?.kid, first?.kid);
});

test("with nobody current the people of the phone are still listed", async () => {
  await enrolWithPassphrase(VERRILL);
  await makeCurrent(null);
  assert.equal(await currentIdentity(), null);
  const listed = (await peopleOfThisDevice()).map(({ id, current }) => [id, current]);
  assert.deepEqual(listed.sort(), [["u-ambler", false], ["u-verrill", false]]);
});

test("a wrong passphrase makes nobody current", async () => {
  await makeCurrent(null);
  assert.equal((await resume("u-ambler", "wrong")).ok, false);
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

test("a key that is not the one its name says does not pass the self-test", async () => {
  const [one, two] = [await makeKey(), await makeKey()];
  assert.equal(await keyWorks(one), true);
  assert.equal(await keyWorks({ ...one, privateKey: two.privateKey }), false);
  await assert.rejects(crypto.subtle.exportKey("pkcs8", one.privateKey));
});

test("a draft is there after the app was killed, until it is dropped", async () => {
  await keepDraft("capture/ID/R/reading.refraction", { sphere: "−8.2" });
  await closeDatabase();
  assert.deepEqual(await readDraft("capture/ID/R/reading.refraction"), { sphere: "−8.2" });
  assert.equal((await openDrafts()).length, 1);
  await dropDraft("capture/ID/R/reading.refraction");
  assert.equal(await readDraft("capture/ID/R/reading.refraction"), null);
});
