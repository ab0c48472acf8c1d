/** A visit after surgery: what is asked once, what is left out, when another visit has begun. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { kindsOfVisit, nextOfVisit, noteKept, saidBefore, visitOf } from "../../../static/steps/visit_run.js";
import { partsOf } from "../../../static/ui/quantities.js";

const toric = { body: { lens: { cylinder_cD: -150 } } };
const spherical = { body: { lens: { cylinder_cD: 0 } } };
const KEPT = { id: "a", instant: "2026-10-19T10:00:00.000Z", sentence: "Right eye: vault 480 µm." };
const VAULT = { light: "mesopic", device: "scanner 2", vault_um: 480 };

describe("a visit", () => {
  it("asks a lens without a cylinder for no axis, and for no count of cells on the way", () => {
    assert.equal(kindsOfVisit(spherical).includes("followup.axis_seen"), false);
    assert.equal(nextOfVisit("followup.angle", toric), "followup.axis_seen");
    assert.equal(nextOfVisit("followup.angle", spherical), "followup.lens_clarity");
    assert.equal(nextOfVisit("followup.lens_clarity", toric), null);
  });

  it("says light back in every quantity, of either eye, and a device in its own alone", () => {
    const visit = visitOf("one");
    noteKept(visit, "R", "followup.vault", { kept: KEPT, body: VAULT });
    const said = (/** @type {string} */ kind) => saidBefore(visitOf("one"), kind, partsOf(kind, {}));
    assert.deepEqual(said("followup.pupil"), { light: "mesopic" });
    assert.deepEqual(said("followup.vault"), { light: "mesopic", device: "scanner 2" });
    assert.deepEqual(said("followup.pressure"), {});
    assert.equal(visit.eyes.L.kept.size, 0);
  });

  it("knows nothing of another person's, nor of one that is long over", () => {
    noteKept(visitOf("one"), "R", "followup.vault", { kept: KEPT, body: VAULT });
    assert.deepEqual(visitOf("two").said, {});
    const visit = visitOf("two");
    noteKept(visit, "R", "followup.vault", { kept: KEPT, body: VAULT });
    visit.touched -= 31 * 60_000;
    assert.deepEqual(visitOf("two").said, {});
  });
});
