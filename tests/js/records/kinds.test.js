/** Record kinds: the same vectors, fields and sentences as on the server. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { encode } from "../../../static/records/canonical.js";
import { BadRecord } from "../../../static/records/errors.js";
import * as kinds from "../../../static/records/kinds.js";
import { RULES } from "../../../static/records/kinds_rules.js";
import { sha256Hex } from "../../../static/records/signing.js";
import { readVectors } from "./vectors.js";

const vectors = readVectors("kinds");

/**
 * The good payload of the case's kind with the case's changes made to it.
 * @param {{ kind: string, set: Record<string, unknown>, remove?: string[] }} change
 */
function changed({ kind, set, remove = [] }) {
  const payload = structuredClone(vectors.payloads[kind]);
  for (const [path, value] of Object.entries(set)) {
    const { place, last } = placeOf(payload, path);
    place[last] = structuredClone(value);
  }
  for (const path of remove) {
    const { place, last } = placeOf(payload, path);
    delete place[last];
  }
  return payload;
}

/**
 * @param {any} payload
 * @param {string} path
 */
function placeOf(payload, path) {
  const steps = path.split(".");
  const last = steps[steps.length - 1];
  return { place: steps.slice(0, -1).reduce((inner, step) => inner[step], payload), last };
}

/**
 * The path and the most items of each list in a body, objects looked into.
 *
 * @param {Record<string, any>} fields
 * @param {any} body
 * @param {string} path
 * @returns {[string, number][]}
 */
function listsIn(fields, body, path) {
  return Object.entries(fields).flatMap(([name, field]) => {
    if (field.type === "list") return [/** @type {[string, number]} */ ([path + name, field.max_items])];
    const value = body[name] ?? null;
    if (field.type !== "object" || value === null) return [];
    return listsIn(kinds.SHAPES[field.shape].fields, value, `${path}${name}.`);
  });
}

describe("checkPayload", () => {
  for (const [kind, payload] of Object.entries(vectors.payloads)) {
    it(`accepts a good ${kind} and gives it its id`, async () => {
      kinds.checkPayload(payload);
      assert.equal(await sha256Hex(encode(payload)), vectors.ids[kind]);
    });
  }
  it("has a good payload of every kind", () => {
    assert.deepEqual(Object.keys(vectors.payloads).sort(), Object.keys(kinds.KINDS).sort());
  });
  for (const change of vectors.good) {
    it(`accepts ${change.name}`, () => {
      kinds.checkPayload(changed(change));
    });
  }
  for (const change of vectors.bad) {
    it(`refuses ${change.name}`, () => {
      const { field, message } = change;
      assert.throws(
        () => kinds.checkPayload(changed(change)),
        (error) => {
          assert.ok(error instanceof BadRecord);
          assert.deepEqual({ field: error.field, message: error.message }, { field, message });
          return true;
        },
      );
    });
  }
  it("refuses a list with one item more than its kind allows, at the list", () => {
    let asked = 0;
    for (const [kind, payload] of Object.entries(vectors.payloads)) {
      for (const [path, most] of listsIn(kinds.KINDS[kind].fields, payload.body, "")) {
        const change = { kind, set: { [`body.${path}`]: new Array(most + 1).fill(0) } };
        assert.throws(
          () => kinds.checkPayload(changed(change)),
          (error) => error instanceof BadRecord && error.field === path && error.message.endsWith(` to ${most}.`),
          `${kind} ${path}`,
        );
        asked += 1;
      }
    }
    assert.ok(asked > 20);
  });
  it("refuses any odd value in any field by the declared error", () => {
    const odd = [undefined, null, true, 0, -0, -1, 0.5, Number.NaN, "", "x", [], [[]], [null], {}];
    let refused = 0;
    for (const [kind, payload] of Object.entries(vectors.payloads)) {
      const inner = Object.keys(payload.body).map((name) => `body.${name}`);
      for (const path of [...Object.keys(payload), ...inner]) {
        for (const value of odd) {
          try {
            kinds.checkPayload(changed({ kind, set: { [path]: value } }));
          } catch (error) {
            assert.ok(error instanceof BadRecord, `${path} ${value}: ${error}`);
            refused += 1;
          }
        }
      }
    }
    assert.ok(refused > 1000);
  });
});

describe("the table", () => {
  for (const [name, [low, high]] of Object.entries(vectors.ranges)) {
    it(`has both ends of ${name} inside, and nothing beyond`, () => {
      const [kind, field] = name.split(" ");
      const { step = 1 } = kinds.KINDS[kind].fields[field];
      for (const value of [low, high]) kinds.checkField(kind, field, value);
      for (const value of [low - step, high + step]) {
        assert.throws(() => kinds.checkField(kind, field, value), BadRecord);
      }
    });
  }
  it("names each rule that is written, and no other", () => {
    const tables = [...Object.values(kinds.KINDS), ...Object.values(kinds.SHAPES)];
    const named = new Set(tables.flatMap(({ rules }) => rules));
    assert.deepEqual([...named].sort(), Object.keys(RULES).sort());
  });
  it("lets devices sign readings and the desk's key orders", () => {
    assert.equal(kinds.maySign("plan.approval", "desk"), false);
    assert.equal(kinds.maySign("order.placed", "device"), false);
    assert.equal(kinds.maySign("person.registered", "desk"), true);
  });
  it("knows no kind outside the list", () => {
    for (const name of ["reading.nothing", "toString", "__proto__", null, 1]) {
      assert.throws(() => kinds.kindNamed(name), BadRecord);
    }
  });
});

describe("a field", () => {
  const { fields } = kinds.KINDS["reading.refraction"];
  it("reads what was typed", () => {
    assert.equal(kinds.parseField("sphere_cD", fields.sphere_cD, "\u221212.25"), -1225);
    assert.equal(kinds.parseField("sphere_cD", fields.sphere_cD, "0"), 0);
    assert.equal(kinds.parseField("axis_deg", fields.axis_deg, "0"), 180);
  });
  it("refuses a missing sign, a finer step and a value out of range", () => {
    const refuse = (/** @type {string} */ name, /** @type {string} */ text) => () =>
      kinds.parseField(name, fields[name], text);
    assert.throws(refuse("sphere_cD", "12.25"), /Say plus or minus/);
    assert.throws(refuse("axis_deg", "17.5"), /smallest step is 1/);
    assert.throws(refuse("sphere_cD", "-35.01"), /from \u221235\.00 to \+20\.00 D/);
  });
  it("shows values and ranges with unit and sign", () => {
    assert.equal(kinds.shownText(fields.sphere_cD, -1225), "\u221212.25 D");
    assert.equal(kinds.shownText(fields.axis_deg, 7), "7\u00b0");
    assert.equal(kinds.rangeText(fields.axis_deg), "Axis goes from 1 to 180\u00b0");
  });
  it("knows what is unusual", () => {
    const field = kinds.KINDS["reading.white_to_white"].fields.diameter_um;
    const values = [10690, 10700, 12600, 12610];
    assert.deepEqual(values.map((value) => kinds.isUnusual(field, value)), [true, false, false, true]);
    assert.equal(kinds.isUnusual(fields.axis_deg, 1), false);
  });
  it("is never minus zero, which has no canonical form", () => {
    assert.throws(() => kinds.checkField("reading.refraction", "sphere_cD", -0), BadRecord);
    kinds.checkField("reading.refraction", "sphere_cD", 0);
  });
  it("may be missing only where it is not required", () => {
    assert.throws(() => kinds.checkField("reading.refraction", "sphere_cD", null), /still missing/);
    kinds.checkField("reading.refraction", "axis_deg", null);
  });
});
