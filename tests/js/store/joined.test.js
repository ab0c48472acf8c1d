/** Two registrations that the base joined: one person on a phone that holds both. */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { otherDevice, pageOf } from "./base.js";
import { emptyDevice, enrolHere, registration, whiteToWhite } from "./device.js";
import { withDatabase } from "../../../static/store/idb.js";
import { homeAddress, homeOf, registrationsOf } from "../../../static/store/joined.js";
import { entriesOfPerson, keepRecord } from "../../../static/store/journal.js";
import { keepKeys } from "../../../static/store/keys.js";
import { noteEpoch, storePage } from "../../../static/store/pages.js";
import { eachOnce, peopleAt, personHere } from "../../../static/store/people.js";

const FIRST = "01933a2b-7c00-7000-8000-000000000001";
const SECOND = "01933a2b-7c00-7000-8000-000000000002";
const THIRD = "01933a2b-7c00-7000-8000-000000000003";
/** @type {Awaited<ReturnType<typeof otherDevice>>} */
let desk;
/** @type {{ id: string, envelope: any }[]} */
let sent;

beforeEach(async () => {
  await emptyDevice();
  await enrolHere();
  desk = await otherDevice("desk");
  sent = [];
  await keepKeys([desk.key]);
  await noteEpoch("1");
});

/** @param {Parameters<typeof desk.make>[0]} asked */
async function arrives(asked) {
  const made = await desk.make({ role: "desk", ...asked });
  sent.push(made);
  const site = asked.site ?? "saltpan";
  const before = sent.filter(({ envelope }) => siteOf(envelope) === site).length - 1;
  assert.equal(await storePage(pageOf([made], { from: before, site })), true);
  return made.id;
}

/** @param {{ p: string }} envelope */
const siteOf = ({ p }) => JSON.parse(Buffer.from(p, "base64url").toString()).site;

/**
 * @param {string} person
 * @param {string} other
 * @param {string} [site]
 */
const joining = (person, other, site = "saltpan") => arrives({
  kind: "person.merged", person, eye: null, site, reason: "Same card",
  body: { other, place: "The other camp", compared: "c".repeat(64) },
});

/** Two registrations at two camps of this phone, joined. */
async function joinedPair() {
  await arrives(registration("Ilse Hartnoll", FIRST));
  await arrives({ ...registration("Ilse Hartnol", SECOND), site: "north-quay" });
  const here = await joining(FIRST, SECOND);
  const there = await joining(SECOND, FIRST, "north-quay");
  return { here, there };
}

test("the records of both registrations go to the calculation, from either", async () => {
  await joinedPair();
  await arrives({ ...whiteToWhite(SECOND), site: "north-quay", role: "optometrist" });
  for (const id of [FIRST, SECOND]) {
    assert.deepEqual(await registrationsOf(id), [FIRST, SECOND]);
    assert.equal((await entriesOfPerson(id)).length, 5);
  }
});

test("one camp's record of a joining is enough", async () => {
  await arrives(registration("Ilse Hartnoll", FIRST));
  await arrives({ ...registration("Ilse Hartnol", SECOND), site: "north-quay" });
  await joining(SECOND, FIRST, "north-quay");
  for (const id of [FIRST, SECOND]) {
    assert.deepEqual(await registrationsOf(id), [FIRST, SECOND]);
    assert.equal((await entriesOfPerson(id)).length, 3);
  }
});

test("a list names a person once, whichever camp's record of the joining is here", async () => {
  await arrives(registration("Ilse Hartnoll", FIRST));
  await arrives({ ...registration("Ilse Hartnol", SECOND), site: "north-quay" });
  await joining(FIRST, SECOND);
  const there = await peopleAt("north-quay");
  assert.deepEqual(there.map(({ id, home }) => [id, home]), [[SECOND, FIRST]]);
  assert.deepEqual(eachOnce([...(await peopleAt("saltpan")), ...there]).map(({ id }) => id), [FIRST]);
});

test("a joining that does not open is said of whom it names, and of nobody else", async () => {
  await joinedPair();
  await arrives(registration("I. Hartnoll", THIRD));
  const [row] = await withDatabase((database) => database.getAllFromIndex("records", "kind", "person.merged"));
  row.box.bytes[0] ^= 1;
  await withDatabase((database) => database.put("records", row));
  assert.deepEqual(await registrationsOf(THIRD), [THIRD]);
  for (const half of [FIRST, SECOND]) await assert.rejects(registrationsOf(half), { name: "BoxBroken" });
});

test("an address leads to the earlier registration, to the one that is here without it", async () => {
  await arrives({ ...registration("Ilse Hartnol", SECOND), site: "north-quay" });
  await joining(SECOND, FIRST, "north-quay");
  assert.equal(await homeAddress(`#/case/${SECOND}/R`), `#/case/${SECOND}/R`);
  await arrives(registration("Ilse Hartnoll", FIRST));
  assert.equal(await homeAddress(`#/case/${SECOND}/R`), `#/case/${FIRST}/R`);
  assert.equal(await homeAddress("#/people"), "#/people");
});

test("a list names a person once; a camp of its own still names them", async () => {
  await joinedPair();
  const [here, there] = await Promise.all(["saltpan", "north-quay"].map(peopleAt));
  assert.deepEqual(eachOnce([...(here ?? []), ...(there ?? [])]).map(({ id }) => id), [FIRST]);
  assert.deepEqual(eachOnce(there ?? []).map(({ id, home }) => [id, home]), [[SECOND, FIRST]]);
});

test("a circle of joinings ends, and a separation leaves what is joined otherwise", async () => {
  const { here, there } = await joinedPair();
  await arrives(registration("I. Hartnoll", THIRD));
  await joining(THIRD, FIRST);
  await joining(FIRST, THIRD);
  await joining(THIRD, SECOND);
  await joining(SECOND, THIRD, "north-quay");
  assert.deepEqual(await registrationsOf(SECOND), [FIRST, SECOND, THIRD]);
  const split = { kind: "person.split", eye: null, reason: "Two cousins" };
  await arrives({ ...split, person: FIRST, body: { target: here } });
  await arrives({ ...split, person: SECOND, site: "north-quay", body: { target: there } });
  assert.deepEqual(await registrationsOf(FIRST), [FIRST, SECOND, THIRD]);
});

test("separated, each has its own records again", async () => {
  const { here, there } = await joinedPair();
  const split = { kind: "person.split", eye: null, reason: "Two cousins" };
  await arrives({ ...split, person: FIRST, body: { target: here } });
  await arrives({ ...split, person: SECOND, site: "north-quay", body: { target: there } });
  assert.deepEqual(await registrationsOf(FIRST), [FIRST]);
  assert.equal(await homeOf(SECOND), SECOND);
});

test("what takes a record back is filed where that record is", async () => {
  await joinedPair();
  const reading = await keepRecord({ ...whiteToWhite(SECOND), site: "north-quay" });
  const body = { target: reading.id };
  const taken = { kind: "record.void", person: FIRST, eye: /** @type {const} */ ("R"), body };
  const { payload } = await keepRecord({ ...taken, reason: "read at the wrong edge" });
  assert.deepEqual([payload.person, payload.site], [SECOND, "north-quay"]);
  assert.equal((await personHere(FIRST))?.name, "Ilse Hartnoll");
});
