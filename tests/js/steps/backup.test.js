/** A back-up lens on the phone: offered by the plan, named by the surgeon, released by a signed word. */
import assert from "node:assert/strict";
import test from "node:test";
import { missingIn, wordOf } from "../../../static/steps/backup_word.js";
import { offeredBackup } from "../../../static/steps/case_backup.js";

const LENS = { model: "Model A-t", sphere_cD: -975, cylinder_cD: -250, axis_deg: 15, length_um: 12500 };
const OTHER = { ...LENS, sphere_cD: -950 };
const backup = { chosen: { id: "c" }, order: { id: "o" }, released: null };

test("a back-up is carried over only where the plan still offers it", () => {
  const plan = { backups: [LENS, OTHER] };
  assert.equal(offeredBackup({ plan, backup: { ...OTHER } }), OTHER);
  assert.equal(offeredBackup({ plan, backup: { ...OTHER, length_um: 12750 } }), null);
  assert.equal(offeredBackup({ plan, backup: null }), null);
  assert.equal(offeredBackup({ plan: { backups: [] }, backup: OTHER }), null);
});

test("the surgeon's word names both orders and the chosen lens's check", () => {
  assert.deepEqual(wordOf({ fold: { backup }, check: "k" }), {
    kind: "backup.released",
    body: { order: "o", instead_of: "c", check: "k" },
  });
  const released = { ...backup, released: { id: "r" } };
  assert.deepEqual(wordOf({ fold: { backup: released }, check: null }), {
    kind: "plan.withdrawal",
    body: { target: "r" },
  });
});

test("nothing is signed before check, reason and passphrase are there", () => {
  const fold = { backup };
  const said = { fold, check: "k", reason: "Its box has expired.", passphrase: "a long one" };
  assert.equal(missingIn(said), null);
  assert.equal(missingIn({ ...said, check: null }), "Choose the check first");
  assert.equal(missingIn({ ...said, reason: "old" }), "Say why first");
  assert.equal(missingIn({ ...said, passphrase: "" }), "Passphrase first");
  assert.equal(missingIn({ ...said, fold: { backup: { ...backup, released: { id: "r" } } }, check: null }), null);
});
