/** Keeping a record: whole or not at all, signed, chained, read back. */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { allOf, emptyDevice, enrolHere, openedRecords, registration, whiteToWhite } from "./device.js";
import { openEnvelope, verifyRecord, fromBase64url } from "../../../static/records/envelope.js";
import { entriesOfPerson, keepRecord, NotKept, onChange } from "../../../static/store/journal.js";

/** @type {{ kid: string, spki: string }} */
let key;

beforeEach(async () => {
  await emptyDevice();
  key = await enrolHere();
});

test("a kept record is signed, names its author and waits to be sent", async () => {
  const { id, payload } = await keepRecord(registration());
  const [row] = await openedRecords();
  const opened = await openEnvelope({ p: row.p, kid: row.kid, sig: row.sig });
  await verifyRecord(opened, fromBase64url(key.spki, "spki"));
  assert.equal(opened.id, id);
  assert.deepEqual(
    [payload.author, payload.role, payload.site, payload.seq, payload.prev],
    ["u-ambler", "optometrist", "saltpan", 1, null],
  );
  assert.deepEqual((await allOf("outbox")).map((waits) => waits.id), [id]);
});

test("each record names the one before it", async () => {
  const first = await keepRecord(registration());
  const second = await keepRecord(whiteToWhite(first.payload.person));
  assert.deepEqual([second.payload.seq, second.payload.prev], [2, first.id]);
});

test("twelve records saved at once make one chain without gap or fork", async () => {
  const { payload } = await keepRecord(registration());
  const sizesUm = Array.from({ length: 12 }, (_, n) => 11_000 + n * 10);
  const readings = sizesUm.map((sizeUm) => whiteToWhite(payload.person, sizeUm));
  await Promise.all(readings.map((asked) => keepRecord(asked)));
  const rows = (await openedRecords()).sort((a, b) => a.seq - b.seq);
  assert.deepEqual(rows.map(({ seq }) => seq), Array.from({ length: 13 }, (_, n) => n + 1));
  assert.deepEqual(rows.slice(1).map(({ payload: { prev } }) => prev), rows.slice(0, -1).map(({ id }) => id));
});

test("two tabs whose lock fails still make one chain", async () => {
  const { payload } = await keepRecord(registration());
  const { sign } = crypto.subtle;
  const original = Object.getOwnPropertyDescriptor(globalThis, "navigator");
  const locks = { request: (/** @type {string} */ _name, /** @type {() => unknown} */ work) => work() };
  Object.defineProperty(globalThis, "navigator", { value: { locks }, configurable: true });
  crypto.subtle.sign = async (...words) => {
    // While this tab signs, the other one reads the same head and saves first.
    crypto.subtle.sign = sign;
    await keepRecord(whiteToWhite(payload.person, 11_800));
    return sign.apply(crypto.subtle, words);
  };
  try {
    await keepRecord(whiteToWhite(payload.person, 11_700));
  } finally {
    if (original) Object.defineProperty(globalThis, "navigator", original);
    else Reflect.deleteProperty(globalThis, "navigator");
  }
  const rows = (await openedRecords()).sort((a, b) => a.seq - b.seq);
  assert.deepEqual(rows.map(({ seq }) => seq), [1, 2, 3]);
  assert.deepEqual(rows.map(({ payload: { body } }) => body.diameter_um), [undefined, 11_800, 11_700]);
  assert.equal(rows[2].payload.prev, rows[1].id);
});

test("a value outside its range is refused by name and nothing is kept", async () => {
  const { payload } = await keepRecord(registration());
  await assert.rejects(keepRecord(whiteToWhite(payload.person, 900)), (error) => {
    assert.ok(error instanceof NotKept);
    assert.equal(error.field, "diameter_um");
    return true;
  });
  assert.equal((await allOf("records")).length, 1);
});

test("somebody with two roles signs in the one that may say this", async () => {
  const roles = ["optometrist", "surgeon"].map((role) => ({ role, site: "saltpan" }));
  await enrolHere({ id: "u-marsh", name: "Dr I. Marsh", roles });
  const { person } = (await keepRecord(registration())).payload;
  const body = { request: "0".repeat(64), text: "The cornea is too flat." };
  const { payload } = await keepRecord({ kind: "plan.decline", person, eye: "R", body });
  assert.equal(payload.role, "surgeon");
});

test("a site where the person has no role is refused and nothing is kept", async () => {
  await assert.rejects(keepRecord({ ...registration(), site: "upper-glen" }), /roles at this site/);
  assert.equal((await allOf("records")).length, 0);
});

test("names are kept in Unicode's composed form however they were typed", async () => {
  const { payload } = await keepRecord(registration("Zoe\u0308 Lindqvist"));
  assert.equal(payload.body.name, "Zo\u00eb Lindqvist");
});

test("listeners hear which person changed", async () => {
  /** @type {string[][]} */
  const heard = [];
  const stop = onChange(({ persons }) => heard.push(persons));
  const { payload } = await keepRecord(registration());
  stop();
  await keepRecord(whiteToWhite(payload.person));
  assert.deepEqual(heard, [[payload.person]]);
});

test("the core is given a person's records and nobody else's", async () => {
  const one = await keepRecord(registration("Ilse Hartnoll"));
  await keepRecord(registration("Oda Brandreth"));
  const reading = await keepRecord(whiteToWhite(one.payload.person));
  const entries = await entriesOfPerson(one.payload.person);
  assert.deepEqual(entries.map(({ id }) => id).sort(), [one.id, reading.id].sort());
  assert.deepEqual(entries[0]?.received, null);
});

test("a record that the disk gives back otherwise, or not at all, is not called saved", async () => {
  const { add } = IDBObjectStore.prototype;
  /** @type {((row: any) => any)[]} */
  const faults = [
    (row) => ({ ...row, box: { ...row.box, bytes: row.box.bytes.slice(1) } }),
    (row) => ({ ...row, person: null }),
    (row) => ({ ...row, id: "0".repeat(64) }),
  ];
  for (const fault of faults) {
    await emptyDevice();
    await enrolHere();
    IDBObjectStore.prototype.add = function (row, ...more) {
      return add.call(this, this.name === "records" ? fault(row) : row, ...more);
    };
    try {
      await assert.rejects(keepRecord(registration()), (error) => {
        assert.ok(error instanceof NotKept);
        assert.match(error.message, /could not read it back/);
        return true;
      });
    } finally {
      IDBObjectStore.prototype.add = add;
    }
  }
});
