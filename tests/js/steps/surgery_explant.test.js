/** A lens that comes out: its serial is read and compared, never filled in. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { explantBody, explantProblems, removalBody, removalProblems } from "../../../static/steps/surgery_explant.js";

const LENS = { id: "c".repeat(64), text: "Model A-t", body: { operated: "2026-10-20", serial: "TI 7a" } };
const READ = { out_known: "yes", out_serial: " ti7A " };
const DONE = { ...READ, operated: "2026-10-29", operator: "Dr S. Verrill", why: "high_vault", note: "" };
const fields = (/** @type {any[]} */ problems) => problems.map(({ field }) => field);

describe("the lens that comes out", () => {
  it("is asked for, and its serial is compared without regard to case and spaces", () => {
    assert.deepEqual(fields(explantProblems({}, LENS)), ["out_known"]);
    assert.deepEqual(fields(explantProblems({ out_known: "yes" }, LENS)), ["out_serial"]);
    assert.deepEqual(explantProblems(READ, LENS), []);
    assert.deepEqual(explantBody(READ, LENS), { explants: LENS.id, explanted_serial: "ti7A", explanted_reason: null });
  });

  it("asks why for another serial, for one not read, and where none is on record", () => {
    const none = { ...LENS, body: { ...LENS.body, serial: null } };
    for (const [typed, lens] of /** @type {[any, any][]} */ ([
      [{ ...READ, out_serial: "TI 7b" }, LENS],
      [{ out_known: "no" }, LENS],
      [READ, none],
    ])) {
      assert.deepEqual(fields(explantProblems(typed, lens)), ["out_reason"]);
      assert.deepEqual(explantProblems({ ...typed, out_reason: "The card was lost" }, lens), []);
    }
    const said = explantBody({ out_known: "no", out_serial: "left over", out_reason: "The card was lost" }, LENS);
    assert.deepEqual([said.explanted_serial, said.explanted_reason], [null, "The card was lost"]);
  });

  it("may leave the eye without another one, on no day before it went in", () => {
    assert.deepEqual(removalProblems(DONE, LENS), []);
    assert.deepEqual(removalBody(DONE, LENS), {
      ...{ implant: LENS.id, operated: "2026-10-29", serial: "ti7A", serial_reason: null },
      ...{ operator: "Dr S. Verrill", why: "high_vault", note: null },
    });
    assert.deepEqual(fields(removalProblems({ ...DONE, operated: "2026-10-19" }, LENS)), ["operated"]);
    assert.deepEqual(fields(removalProblems({ ...DONE, why: "other" }, LENS)), ["note"]);
  });
});
