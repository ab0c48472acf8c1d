/** The exchange with the base, under every way a camp's network goes wrong. */
import assert from "node:assert/strict";
import { afterEach, beforeEach, test } from "node:test";
import { otherDevice } from "../store/base.js";
import { allOf, emptyDevice, enrolHere, registration, whiteToWhite } from "../store/device.js";
import { Base } from "./base.js";
import { entriesOfPerson, keepRecord } from "../../../static/store/journal.js";
import { asideRow, setAside } from "../../../static/store/aside.js";
import { arrivedSince } from "../../../static/store/arrived.js";
import { withDatabase } from "../../../static/store/idb.js";
import { counts, refused, waiting } from "../../../static/store/outbox.js";
import { peopleAt } from "../../../static/store/people.js";
import { stopSync, syncInTurn, syncNow, syncStatus } from "../../../static/sync/client.js";
import { sendable } from "../../../static/sync/push.js";

/** @type {Base} */
let base;

beforeEach(async () => {
  await emptyDevice();
  const own = await enrolHere();
  base = new Base();
  base.keys = [{ ...own, user: "u-ambler", name: "R. Ambler", label: "x", revoked: null }];
  base.install();
});

afterEach(() => stopSync());

/** @param {string} path */
const isPush = (path) => path.startsWith("/sync/push");

test("what was saved without a network arrives, and the outbox empties", async () => {
  const { payload } = await keepRecord(registration());
  await keepRecord(whiteToWhite(payload.person));
  const report = await syncNow();
  assert.deepEqual([report.ended, report.sent, report.message], ["done", 2, null]);
  assert.deepEqual(base.log.map(({ payload: { seq } }) => seq), [1, 2]);
  assert.deepEqual(await counts(), { waiting: 0, refused: 0 });
});

test("more than a hundred records go in batches of at most a hundred, in chain order", async () => {
  const { payload } = await keepRecord(registration());
  for (let n = 0; n < 130; n += 1) await keepRecord(whiteToWhite(payload.person));
  assert.equal((await syncNow()).ended, "done");
  const sizes = base.asked.filter(({ path }) => isPush(path)).map(({ records }) => records);
  assert.deepEqual(sizes, [100, 31]);
  assert.deepEqual(base.log.map(({ payload: { seq } }) => seq), Array.from({ length: 131 }, (_, n) => n + 1));
});

test("an acknowledgement lost on the way costs a resend and nothing else", async () => {
  await keepRecord(registration());
  base.losesAnswer = isPush;
  assert.equal((await syncNow()).ended, "offline");
  assert.deepEqual(await counts(), { waiting: 1, refused: 0 });
  base.losesAnswer = () => false;
  assert.equal((await syncNow()).ended, "done");
  assert.deepEqual([base.log.length, (await counts()).waiting], [1, 0]);
});

test("a network's sign-in page in place of the base is seen for what it is", async () => {
  await keepRecord(registration());
  base.fault = () => new Response("<h1>Welcome</h1>", { headers: { "Content-Type": "text/html" } });
  const report = await syncNow();
  assert.equal(report.ended, "portal");
  assert.match(report.message ?? "", /Something other than the base hospital answered/);
  assert.deepEqual(await counts(), { waiting: 1, refused: 0 });
});

test("JSON that is not the base's takes nothing out of the outbox", async () => {
  await keepRecord(registration());
  base.fault = (path) => (isPush(path) ? Response.json({ ok: true }) : null);
  assert.equal((await syncNow()).ended, "portal");
  assert.deepEqual(await counts(), { waiting: 1, refused: 0 });
});

test("a base whose disk is full says so, and everything waits until it has room", async () => {
  await keepRecord(registration());
  const problem = { status: 507, code: "storage.full", detail: "The base's disk is full, so it took nothing in." };
  base.fault = (path) => (isPush(path) ? Response.json(problem, { status: 507 }) : null);
  const report = await syncNow();
  assert.equal(report.ended, "trouble");
  assert.equal(
    report.message,
    "The exchange with the base stopped: The base's disk is full, so it took nothing in. What you saved is safe.",
  );
  assert.deepEqual(await counts(), { waiting: 1, refused: 0 });
  base.fault = () => null;
  assert.equal((await syncNow()).ended, "done");
  assert.deepEqual([base.log.length, (await counts()).waiting], [1, 0]);
});

test("a session that ended keeps everything and asks to sign in", async () => {
  await keepRecord(registration());
  const problem = { type: "about:blank", title: "x", status: 401, detail: "Sign in.", code: "x" };
  base.fault = () =>
    Response.json(problem, { status: 401, headers: { "Content-Type": "application/problem+json" } });
  assert.equal((await syncNow()).ended, "needs-sign-in");
  assert.equal(syncStatus().needsSignIn, true);
  assert.deepEqual(await counts(), { waiting: 1, refused: 0 });
});

test("nothing is sent under another person's session", async () => {
  await keepRecord(registration());
  base.userId = "u-quill";
  assert.equal((await syncNow()).ended, "needs-sign-in");
  assert.equal(base.asked.some(({ path }) => isPush(path)), false);
});

test("a refused record stays with its reason while the ones after it go through", async () => {
  const { payload } = await keepRecord(registration());
  const bad = await keepRecord(whiteToWhite(payload.person));
  base.refusals.set(bad.id, { code: "role.not_held", message: "No such role." });
  const report = await syncNow();
  assert.deepEqual([report.sent, report.refused], [1, 1]);
  assert.deepEqual((await refused()).map(({ id, message }) => [id, message]), [[bad.id, "No such role."]]);
});

test("what others recorded arrives, page after page", async () => {
  const other = await otherDevice();
  base.keys.push(other.key);
  for (let n = 0; n < 205; n += 1) base.log.push(await other.make(registration(`Person ${n}`)));
  assert.equal((await syncNow()).received, 205);
  assert.equal((await peopleAt("saltpan")).length, 205);
  assert.equal((await syncNow()).received, 0);
});

test("a forged record is set aside and shown, and what comes after it arrives", async () => {
  const other = await otherDevice();
  const forger = await otherDevice();
  const made = await forger.make(registration("Forged"));
  base.keys.push(other.key, { ...forger.key, kid: "f".repeat(64) });
  base.log.push(made, await other.make(registration("Oda Brandreth")));
  const report = await syncNow();
  assert.deepEqual([report.ended, report.message], ["done", null]);
  assert.deepEqual((await peopleAt("saltpan")).map(({ name }) => name), ["Oda Brandreth"]);
  assert.deepEqual(syncStatus().aside, 1);
  assert.deepEqual((await setAside()).map(({ site, n }) => [site, n]), [["saltpan", 1]]);
});

test("what was set aside is taken in once the base names its device", async () => {
  const late = await otherDevice();
  base.log.push(await late.make(registration("Oda Brandreth")));
  await syncNow();
  assert.equal(syncStatus().aside, 1);
  base.keys.push(late.key);
  await syncNow();
  assert.equal(syncStatus().aside, 0);
  assert.deepEqual((await peopleAt("saltpan")).map(({ name }) => name), ["Oda Brandreth"]);
});

test("what was set aside at a site of somebody else on this phone stops nothing", async () => {
  await withDatabase((database) => database.put("meta", asideRow({ site: "headland", n: 7, why: "x" })));
  const other = await otherDevice();
  base.keys.push(other.key);
  base.log.push(await other.make(registration("Oda Brandreth")));
  const problem = { status: 404, detail: "There is no such site.", code: "not_found" };
  const headers = { "Content-Type": "application/problem+json" };
  base.fault = (path) =>
    path.includes("site=headland") ? Response.json(problem, { status: 404, headers }) : null;
  const report = await syncNow();
  assert.deepEqual([report.ended, report.received], ["done", 1]);
  assert.equal(syncStatus().aside, 1, "it stays for whoever may read it");
});

test("an own record that does not open any more is refused here, and the others are sent", async () => {
  const { payload } = await keepRecord(registration());
  const bad = await keepRecord(registration("Oda Brandreth"));
  await withDatabase(async (database) => {
    const row = await database.get("records", bad.id);
    row.box.bytes[0] ^= 1;
    await database.put("records", row);
  });
  assert.deepEqual((await waiting()).map(({ wall }) => wall), [payload.wall, null]);
  const report = await syncNow();
  assert.deepEqual([report.ended, report.sent, report.refused], ["done", 1, 1]);
  const [row] = await refused();
  assert.deepEqual([row?.id, row?.code, row?.wall], [bad.id, "box.broken", null]);
  assert.match(row?.message ?? "", /does not open.*Take it again/s);
  assert.deepEqual((await peopleAt("saltpan")).map(({ name }) => name), [payload.body.name]);
  assert.equal((await entriesOfPerson(payload.person)).length, 1);
  assert.deepEqual((await arrivedSince(payload.key, payload.wall)).map(({ person }) => person), [payload.person]);
});

test("a request that the base can't take is sent in parts until the one record is found", async () => {
  const { payload } = await keepRecord(registration());
  const bad = await keepRecord(whiteToWhite(payload.person, 11_100));
  await keepRecord(registration("Oda Brandreth"));
  base.unreadable.add(bad.id);
  const report = await syncNow();
  assert.deepEqual([report.ended, report.refused], ["done", 1]);
  const [row] = await refused();
  assert.deepEqual([row?.id, row?.code], [bad.id, "request.too_large"]);
  assert.deepEqual(base.log.map(({ id }) => id), [payload.person && base.log[0]?.id]);
  // What follows it in its device's chain waits, visibly, for the desk.
  assert.deepEqual((await counts()).waiting, 1);
});

test("one site that can't be had keeps no other from being fetched", async () => {
  const other = await otherDevice();
  base.keys.push(other.key);
  const north = { ...registration("Oda Brandreth"), site: "north-quay" };
  base.log.push(await other.make(/** @type {any} */ (north)));
  const problem = { status: 404, detail: "There is no such site.", code: "not_found" };
  const headers = { "Content-Type": "application/problem+json" };
  base.fault = (path) =>
    path.includes("site=saltpan") ? Response.json(problem, { status: 404, headers }) : null;
  const report = await syncNow();
  assert.equal(report.ended, "trouble");
  assert.match(report.message ?? "", /no such site/);
  assert.deepEqual((await peopleAt("north-quay")).map(({ name }) => name), ["Oda Brandreth"]);
});

test("what is large travels packed", async () => {
  const { payload } = await keepRecord(registration());
  for (let n = 0; n < 9; n += 1) await keepRecord(whiteToWhite(payload.person));
  await syncNow();
  const [push] = base.asked.filter(({ path }) => isPush(path));
  assert.equal(push?.records, 10);
  assert.ok((push?.bytes ?? 0) > 0 && (push?.bytes ?? 0) < 10 * 600, `${push?.bytes}`);
});

test("after a restore from an old copy the phone gives everything back, others' records too", async () => {
  const other = await otherDevice();
  base.keys.push(other.key);
  base.log.push(await other.make(registration("Oda Brandreth")));
  const person = base.log[0]?.payload.person;
  await syncNow();
  await keepRecord(whiteToWhite(person));
  await syncNow();
  assert.equal(base.log.length, 2);
  [base.log, base.epoch] = [[], 2];
  await syncNow();
  assert.equal(base.log.length, 2);
  assert.deepEqual(await counts(), { waiting: 0, refused: 0 });
});

test("a restore in the middle of an exchange is made good in the same exchange", async () => {
  await keepRecord(registration());
  await syncNow();
  base.fault = (path) => {
    // The last question before the records are fetched; what was sent is then gone at the base.
    if (path === "/sync/keys") Object.assign(base, { epoch: 2, log: [], fault: () => null });
    return null;
  };
  assert.deepEqual([(await syncNow()).sent, base.log.length], [1, 1]);
  assert.deepEqual(await counts(), { waiting: 0, refused: 0 });
});

test("records of a site where this person may not work wait for somebody who may", async () => {
  await keepRecord({ ...registration(), site: "north-quay" });
  await keepRecord(registration());
  base.install();
  const { changeEnrolment } = await import("../../../static/store/enrolments.js");
  const roles = [{ role: "optometrist", site: "saltpan" }];
  const user = { id: "u-ambler", name: "R. Ambler", roles };
  await changeEnrolment("u-ambler", () => ({ user }));
  base.fault = (path) => (path === "/auth/me" ? Response.json({ user, sites: [] }) : null);
  await syncNow();
  assert.deepEqual([base.log.length, (await counts()).waiting], [0, 2]);
});

test("of a chain goes what lies before the first record of a foreign site", () => {
  const row = (/** @type {string} */ kid, /** @type {number} */ seq, /** @type {string} */ site) =>
    /** @type {any} */ ({ kid, seq, site });
  const rows = [row("desk", 1, "all"), row("desk", 2, "saltpan"), row("desk", 3, "upper-glen"), row("desk", 4, "all"), row("own", 1, "saltpan")];
  const sent = sendable(rows, ["saltpan", "all"]).map(({ kid, seq }) => `${kid} ${seq}`);
  assert.deepEqual(sent, ["desk 1", "desk 2", "own 1"]);
});

test("a receipt for a record that was not sent takes nothing out of the outbox", async () => {
  const sent = await keepRecord(registration());
  const unsent = await keepRecord({ ...registration("Oda Brandreth"), site: "north-quay" });
  const roles = [{ role: "optometrist", site: "saltpan" }];
  const user = { id: "u-ambler", name: "R. Ambler", roles };
  const receipts = [sent, unsent].map(({ id }, n) => ({ id, result: "stored", n, reason: null }));
  base.fault = (path) => {
    if (path === "/auth/me") return Response.json({ user, sites: [] });
    return isPush(path) ? Response.json({ epoch: 1, receipts }) : null;
  };
  assert.equal((await syncNow()).sent, 1);
  assert.deepEqual((await allOf("outbox")).map(({ id }) => id), [unsent.id]);
});

test("a record that gets no receipt is not sent for ever, and waits for the next exchange", async () => {
  await keepRecord(registration());
  let pushes = 0;
  base.fault = (path) => {
    if (!isPush(path)) return null;
    pushes += 1;
    return pushes > 9 ? new Response("", { status: 503 }) : Response.json({ epoch: 1, receipts: [] });
  };
  assert.equal((await syncNow()).ended, "done");
  assert.ok(pushes <= 2, `sent ${pushes} times in one exchange`);
  assert.deepEqual(await counts(), { waiting: 1, refused: 0 });
});

test("the difference of the two clocks is measured and changes nothing else", async () => {
  base.clockAheadMs = 10 * 60_000;
  await keepRecord(registration());
  assert.equal((await syncNow()).ended, "done");
  const skewMs = syncStatus().skewMs ?? 0;
  assert.ok(Math.abs(skewMs + 10 * 60_000) < 5_000, `${skewMs}`);
});

test("an exchange that a person asks for follows the one that is going on", async () => {
  await keepRecord(registration());
  const first = syncNow();
  const second = syncInTurn();
  const [{ ended }, kept] = await Promise.all([first, keepRecord(registration())]);
  assert.equal(ended, "done");
  assert.equal((await second).ended, "done");
  assert.deepEqual((await counts()).waiting, 0);
  assert.ok(base.log.some(({ payload: { seq } }) => seq === kept.payload.seq));
});

test("two exchanges at once are one exchange", async () => {
  await keepRecord(registration());
  const ends = (await Promise.all([syncNow(), syncNow()])).map(({ ended }) => ended);
  assert.deepEqual(ends.sort(), ["busy", "done"]);
  assert.equal(base.asked.filter(({ path }) => isPush(path)).length, 1);
});
