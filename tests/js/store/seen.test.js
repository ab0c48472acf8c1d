/** What was last seen belongs to the person who saw it: two surgeons may share a phone. */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { emptyDevice, enrolHere } from "./device.js";
import { allSeen, markSeen, seenOf } from "../../../static/store/seen.js";

beforeEach(async () => {
  await emptyDevice();
  await enrolHere();
});

test("what somebody else saw is not seen yet", async () => {
  await markSeen("u-verrill/p1.R", { findings: 2 });
  await markSeen("u-marsh/p1.L", { findings: 1 });
  assert.deepEqual([...(await allSeen("u-verrill"))], [["p1.R", { findings: 2 }]]);
  assert.deepEqual([...(await allSeen("u-verr"))], []);
});

test("the newest look counts", async () => {
  assert.equal(await seenOf("u-verrill/p1.R"), null);
  await markSeen("u-verrill/p1.R", { findings: 2 });
  await markSeen("u-verrill/p1.R", { findings: 3 });
  assert.deepEqual(await seenOf("u-verrill/p1.R"), { findings: 3 });
});
