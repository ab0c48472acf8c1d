/** Who is to be seen after surgery, on the phone alone. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { callingOf, callingWords } from "../../../static/steps/follow_up_due.js";

const quiet = { visits: null };
const stands = (/** @type {string} */ state, /** @type {string} */ due) => ({ visits: { state, due, text: state } });
const row = (/** @type {string} */ id, /** @type {any} */ right, left = quiet) =>
  /** @type {any} */ ({ id, summary: { eyes: { R: right, L: left } } });

test("lost first, then overdue, then due; the longest waiting of each first", () => {
  const rows = [
    row("a", stands("due", "2026-11-20")),
    row("b", stands("overdue", "2026-11-10"), /** @type {any} */ (stands("lost", "2026-06-01"))),
    row("c", stands("lost", "2026-05-01")),
    row("d", stands("overdue", "2026-11-09")),
  ];
  const found = callingOf(rows).map(({ row: { id }, eye }) => `${id}${eye}`);
  assert.deepEqual(found, ["cR", "bL", "dR", "bR", "aR"]);
  assert.equal(callingWords(rows), "2 lost, 2 overdue, 1 due");
});

test("who is seen as planned, not operated or not calculated yet calls for nobody", () => {
  const rows = [row("a", stands("later", "2027-01-01")), row("b", stands("ended", "")), row("c", quiet)];
  const unmade = /** @type {any} */ ({ id: "d", summary: null });
  assert.deepEqual(callingOf([...rows, unmade]), []);
  assert.equal(callingWords(rows), "");
});
