/** Lists of people beside a box that was changed on the disk: the rest is shown, and who is not. */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { allOf, emptyDevice, enrolHere, registration } from "./device.js";
import { otherDevice, pageOf } from "./base.js";
import { possibleDuplicates } from "../../../static/store/duplicates.js";
import { keepDraft, openDrafts } from "../../../static/store/drafts.js";
import { withDatabase } from "../../../static/store/idb.js";
import { keepRecord } from "../../../static/store/journal.js";
import { keepKeys } from "../../../static/store/keys.js";
import { keepSealedFact, readSealedFact } from "../../../static/store/meta.js";
import { storePage } from "../../../static/store/pages.js";
import { peopleAt, personHere } from "../../../static/store/people.js";
import { allSeen, markSeen } from "../../../static/store/seen.js";
import { keepSummary, keepUnreadable } from "../../../static/store/summaries.js";
import { lock } from "../../../static/store/vault.js";

/** @type {{ id: string, payload: any }} */
let broken;

beforeEach(async () => {
  await emptyDevice();
  await enrolHere();
  await keepRecord(registration("Ilse Hartnoll"));
  broken = await keepRecord(registration("Oda Brandreth"));
});

/**
 * Change a row's box as somebody with the disk could.
 *
 * @param {"records" | "summaries" | "seen" | "drafts" | "meta"} store
 * @param {(row: any) => boolean} which
 */
async function spoil(store, which) {
  const row = (await allOf(store)).find(which);
  const bytes = row.box.bytes.map((/** @type {number} */ byte, /** @type {number} */ at) => (at ? byte : byte ^ 1));
  await withDatabase((database) => database.put(store, { ...row, box: { ...row.box, bytes } }));
}
const said = async () => (await peopleAt("saltpan")).map(({ name, unreadable, summary }) => [name, unreadable, summary]);
const NOBODY = "Somebody who cannot be read here";

test("a registration that does not open leaves the others listed, and is listed as unreadable", async () => {
  await spoil("records", ({ id }) => id === broken.id);
  assert.deepEqual(await said(), [["Ilse Hartnoll", false, null], [NOBODY, true, null]]);
  const row = await personHere(broken.payload.person);
  assert.deepEqual([row?.id, row?.site, row?.unreadable], [broken.payload.person, "saltpan", true]);
});

test("a correction that does not open is said beside the name that was corrected", async () => {
  const corrected = { ...registration("Oda Brandret", broken.payload.person), replaces: broken.id, reason: "spelling" };
  const { id } = await keepRecord(corrected);
  await keepSummary(broken.payload.person, { state: "ready" });
  await spoil("records", (row) => row.id === id);
  assert.deepEqual(await said(), [["Ilse Hartnoll", false, null], ["Oda Brandreth", true, null]]);
});

test("an account that does not open is made again; one of unreadable records is said", async () => {
  await keepSummary(broken.payload.person, { state: "ready" });
  await spoil("summaries", () => true);
  assert.deepEqual(await said(), [["Ilse Hartnoll", false, null], ["Oda Brandreth", false, null]]);
  await keepUnreadable(broken.payload.person);
  assert.deepEqual(await said(), [["Ilse Hartnoll", false, null], ["Oda Brandreth", true, null]]);
});

test("what was seen and does not open is news again", async () => {
  await markSeen("u-ambler/a.R", { mark: "1" });
  await markSeen("u-ambler/b.R", { mark: "2" });
  await spoil("seen", ({ key }) => key === "u-ambler/a.R");
  assert.deepEqual(Object.fromEntries(await allSeen("u-ambler")), { "a.R": null, "b.R": { mark: "2" } });
});

test("a draft that does not open keeps the others, and a fact that does not open is heard again", async () => {
  await keepDraft("one", { name: "Ines" });
  await keepDraft("two", { name: "Runa" });
  await keepSealedFact("heard", { lastHeard: "2026-11-25T05:00:00.000Z" });
  await spoil("drafts", ({ key }) => key === "one");
  await spoil("meta", ({ name }) => name === "heard");
  assert.deepEqual((await openDrafts()).map(({ key }) => key), ["two"]);
  assert.equal(await readSealedFact("heard"), null);
});

test("somebody unreadable is like nobody who is being registered", async () => {
  await spoil("records", ({ id }) => id === broken.id);
  const asked = { ...registration("Somebody who cannot be read here").body, camp_code: "", village: "" };
  assert.deepEqual(await possibleDuplicates(asked, "saltpan"), []);
});

test("a joining that does not open leaves the list, and is said of its person", async () => {
  const desk = await otherDevice("desk");
  await keepKeys([desk.key]);
  const { person } = broken.payload;
  const body = { other: "01933a2b-7c00-7000-8000-000000000002", place: "The other camp", compared: "c".repeat(64) };
  const made = await desk.make({ role: "desk", kind: "person.merged", person, eye: null, site: "saltpan", reason: "Same card", body });
  assert.equal(await storePage(pageOf([made], { from: 0, site: "saltpan" })), true);
  await spoil("records", ({ id }) => id === made.id);
  assert.deepEqual(await said(), [["Ilse Hartnoll", false, null], ["Oda Brandreth", true, null]]);
});

test("a locked phone lists nobody, unreadable or not", async () => {
  lock();
  await assert.rejects(peopleAt("saltpan"), { name: "Locked" });
});
