/** What a phone learns of its own key, and that an ended key signs no more. */
import assert from "node:assert/strict";
import { after, beforeEach, test } from "node:test";
import { emptyDevice, enrolHere, registration } from "../store/device.js";
import { Base } from "./base.js";
import { keepRecord } from "../../../static/store/journal.js";
import { standingOf } from "../../../static/store/key_standing.js";
import { counts } from "../../../static/store/outbox.js";
import { stopSync, syncNow, syncStatus } from "../../../static/sync/client.js";

/** @type {Base} */
let base;
/** @type {string} */
let kid;

after(() => stopSync());

beforeEach(async () => {
  await emptyDevice();
  const own = await enrolHere();
  kid = own.kid;
  base = new Base();
  base.keys = [{ ...own, user: "u-ambler", name: "R. Ambler", label: "test", revoked: 0 }];
  base.install();
  stopSync();
});

test("a phone that waits keeps and sends, and says that it waits", async () => {
  base.standing = { state: "waiting", since: "2026-11-25T05:00:00.000Z" };
  const { id } = await keepRecord(registration());
  base.refusals.set(id, { code: "key.waiting", message: "It waits for its words." });
  await syncNow();
  assert.equal(syncStatus().standing?.state, "waiting");
  assert.deepEqual(await counts(), { waiting: 1, refused: 0 });
  base.standing = { state: "confirmed", since: "2026-11-25T06:00:00.000Z" };
  base.refusals.clear();
  await syncNow();
  assert.equal(syncStatus().standing?.state, "confirmed");
  assert.deepEqual(await counts(), { waiting: 0, refused: 0 });
});

test("a revoked phone learns it though its session ended, and signs no more", async () => {
  await keepRecord(registration());
  base.standing = { state: "revoked", since: "2026-11-25T06:00:00.000Z" };
  base.fault = (path) => (path === "/auth/me" ? problem(401, "sign_in.needed") : null);
  assert.equal((await syncNow()).ended, "needs-sign-in");
  assert.equal(syncStatus().standing?.state, "revoked");
  await assert.rejects(keepRecord(registration("Oda Brandreth")), { name: "NotKept" });
  assert.equal((await counts()).waiting, 1, "the outbox stays, for export");
});

test("no later answer brings an ended key back", async () => {
  base.standing = { state: "revoked", since: "2026-11-25T06:00:00.000Z" };
  await syncNow();
  base.standing = { state: "confirmed", since: "2026-11-25T05:00:00.000Z" };
  await syncNow();
  assert.equal((await standingOf(kid))?.state, "revoked");
});

test("a base that does not know the question changes nothing", async () => {
  base.fault = (path) => (path.startsWith("/auth/key") ? problem(404, "not_found") : null);
  await syncNow();
  assert.equal(await standingOf(kid), null);
  assert.ok(await keepRecord(registration()));
});

/**
 * @param {number} status
 * @param {string} code
 */
function problem(status, code) {
  const headers = { "Content-Type": "application/problem+json" };
  return Response.json({ title: code, status, detail: code, code }, { status, headers });
}
