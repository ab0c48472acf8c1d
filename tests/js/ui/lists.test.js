/** Which findings stand open, which readings still stand, which questions are asked. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { foldedByCause, worstLevel } from "../../../static/ui/findings.js";
import { liveReadings } from "../../../static/ui/live_readings.js";
import { constantsOf, partsOf, QUANTITIES } from "../../../static/ui/quantities.js";

/** @param {"stop" | "caution" | "note"} level @param {string} cause @returns {any} */
const finding = (level, cause) => ({
  level,
  cause,
  code: `${level}.${cause}`,
  title: cause,
  text: "",
  do: "",
});

/** @param {any[]} findings */
const codes = (findings) => findings.map(({ code }) => code);

describe("findings", () => {
  it("show the stop first, whatever the order they come in", () => {
    const { open } = foldedByCause([
      finding("note", "a"),
      finding("caution", "b"),
      finding("stop", "c"),
    ]);
    assert.deepEqual(codes(open), ["stop.c", "caution.b", "note.a"]);
  });
  it("keep at most three cautions open, and every stop", () => {
    const cautions = ["a", "b", "c", "d", "e"].map((cause) => finding("caution", cause));
    const stops = ["f", "f", "g", "h"].map((cause) => finding("stop", cause));
    const { open, folded } = foldedByCause([...cautions, ...stops]);
    assert.equal(open.filter(({ level }) => level === "stop").length, 4);
    assert.deepEqual(codes(folded), ["caution.d", "caution.e"]);
  });
  it("of one cause fold behind the first", () => {
    const { open, folded } = foldedByCause([finding("caution", "a"), finding("note", "a")]);
    assert.deepEqual([codes(open), codes(folded)], [["caution.a"], ["note.a"]]);
  });
  it("have a worst level, or none", () => {
    assert.equal(worstLevel([finding("note", "a"), finding("caution", "b")]), "caution");
    assert.equal(worstLevel([]), null);
  });
});

/**
 * @param {string} id
 * @param {object} [more]
 * @returns {any}
 */
const reading = (id, more = {}) => ({
  id,
  payload: {
    kind: "reading.pupil",
    eye: "R",
    author: "u-ambler",
    wall: `2026-11-25T04:00:0${id}Z`,
    replaces: null,
    body: {},
    ...more,
  },
});

describe("readings that stand", () => {
  const standing = (/** @type {any[]} */ entries) =>
    liveReadings(entries, "reading.pupil", "R").map(({ id }) => id);

  it("are of this eye alone, oldest first", () => {
    assert.deepEqual(standing([reading("2"), reading("1"), reading("3", { eye: "L" })]), [
      "1",
      "2",
    ]);
  });
  it("are fewer by what their author replaced or withdrew", () => {
    const withdrawal = reading("4", { kind: "record.void", body: { target: "2" } });
    assert.deepEqual(
      standing([reading("1"), reading("2"), reading("3", { replaces: "1" }), withdrawal]),
      ["3"],
    );
  });
  it("are not touched by anybody else", () => {
    const other = { author: "u-quill" };
    const withdrawal = reading("4", { kind: "record.void", body: { target: "1" }, ...other });
    assert.deepEqual(
      standing([reading("1"), reading("3", { replaces: "1", ...other }), withdrawal]),
      ["1", "3"],
    );
  });
});

describe("questions of a quantity", () => {
  const fields = (/** @type {string} */ kind, /** @type {object} */ body) =>
    partsOf(kind, body).map(({ field }) => field);

  it("ask a difference only of a device that gives it, and the date of what is copied", () => {
    assert.ok(!fields("reading.tomography", { values: "kmax" }).includes("is_cD"));
    assert.ok(fields("reading.tomography", { values: "kmax_is" }).includes("is_cD"));
    const [, dated] = partsOf("reading.earlier_refraction", {});
    const date = { field: "dated", type: "date", label: "Date it was made", group: "Date" };
    assert.deepEqual(dated, date);
    const madeOn = partsOf("reading.tomography", {}).find(({ field }) => field === "made_on");
    assert.equal(madeOn?.optional, 1, "a map made now has no day of its own");
  });
  it("ask an axis only with a cylinder and a vertex only at the glasses", () => {
    assert.deepEqual(fields("reading.refraction", { cylinder_cD: 0, plane: "corneal" }), [
      "sphere_cD",
      "cylinder_cD",
      "plane",
    ]);
    assert.deepEqual(fields("reading.refraction", { cylinder_cD: -250, plane: "spectacle" }), [
      "sphere_cD",
      "cylinder_cD",
      "axis_deg",
      "plane",
      "vertex_um",
    ]);
  });
  it("ask the unit of a cornea before any number, and then only that unit's", () => {
    assert.deepEqual(fields("reading.keratometry", {}), ["unit", "steep_meridian_deg", "device"]);
    assert.deepEqual(fields("reading.keratometry", { unit: "mm" }), [
      "unit",
      "flat_radius_um",
      "steep_radius_um",
      "steep_meridian_deg",
      "device",
    ]);
  });
  it("ask the surface of a depth before its number", () => {
    assert.deepEqual(fields("reading.chamber_depth", {}), ["surface", "depth_um", "device"]);
  });
  it("leave no quantity without a question, and ask nothing that has one answer", () => {
    for (const kind of QUANTITIES) assert.ok(fields(kind, {}).length > 0);
    assert.deepEqual(constantsOf("reading.sulcus_to_sulcus"), { direction: "horizontal" });
    assert.ok(!fields("reading.sulcus_to_sulcus", {}).includes("direction"));
  });
});
