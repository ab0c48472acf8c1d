/** The keypad's arithmetic: what static/ui/entry.js promises, key by key. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { KINDS, parseField } from "../../../static/records/kinds.js";
import { shownNumber } from "../../../static/records/numbers.js";
import {
  EMPTY,
  hasQuarters,
  notYet,
  places,
  pointWords,
  press,
  recorded,
  typedText,
  unusualWords,
} from "../../../static/ui/entry.js";
import { QUANTITIES } from "../../../static/ui/quantities.js";

/** @param {string} kind @param {string} field @returns {any} */
const fieldOf = (kind, field) => KINDS[kind]?.fields[field];
const SPHERE = fieldOf("reading.refraction", "sphere_cD");
const AXIS = fieldOf("reading.refraction", "axis_deg");
const WHITE = fieldOf("reading.white_to_white", "diameter_um");
const DEPTH = fieldOf("reading.chamber_depth", "depth_um");
const PUPIL = fieldOf("reading.pupil", "diameter_um");
const ACUITY = fieldOf("reading.acuity", "logmar_c");

/** @param {any} field @param {string[]} keys */
const typed = (field, keys) => keys.reduce((entry, key) => press(field, entry, key), EMPTY);

/** @param {any} field @param {string} digits */
const digits = (field, digits) => typed(field, [...digits]);

describe("a sphere on the quarter pad", () => {
  it("is minus 9.00 after three keys", () => {
    const entry = typed(SPHERE, ["-", "9", ".00"]);
    assert.equal(typedText(SPHERE, entry), "-9.00");
    assert.equal(recorded(SPHERE, entry), -900);
    assert.equal(notYet(SPHERE, entry), null);
  });
  it("takes no digit before its sign, and says so", () => {
    assert.deepEqual(typed(SPHERE, ["9", ".25"]), EMPTY);
    assert.equal(notYet(SPHERE, EMPTY), "Choose minus or plus");
  });
  it("is never complete without its quarter: empty is not .00", () => {
    const entry = typed(SPHERE, ["-", "9"]);
    assert.equal(recorded(SPHERE, entry), null);
    assert.equal(notYet(SPHERE, entry), "Choose .00, .25, .50 or .75");
  });
  it("reads a typed point and one decimal as a quarter", () => {
    assert.equal(typedText(SPHERE, typed(SPHERE, ["+", "3", ".", "7"])), "+3.75");
  });
  it("has no sign when it is zero", () => {
    const entry = typed(SPHERE, ["-", "0", ".00"]);
    assert.equal(typedText(SPHERE, entry), "0.00");
    assert.ok(Object.is(recorded(SPHERE, entry), 0));
  });
  it("changes its sign without losing its digits", () => {
    assert.equal(typedText(SPHERE, typed(SPHERE, ["-", "9", ".50", "+"])), "+9.50");
  });
  it("is erased from the end, the sign last", () => {
    const keys = ["-", "1", "2", ".25"];
    const erase = (/** @type {number} */ times) =>
      typed(SPHERE, [...keys, ...Array(times).fill("erase")]);
    assert.deepEqual(erase(1), { sign: "-", digits: "12", quarter: "" });
    assert.deepEqual(erase(3), { sign: "-", digits: "", quarter: "" });
    assert.deepEqual(erase(4), EMPTY);
  });
  it("outside the possible says how far it goes, and is not clamped", () => {
    const entry = typed(SPHERE, ["-", "3", "9", ".50"]);
    assert.equal(recorded(SPHERE, entry), -3950);
    assert.equal(notYet(SPHERE, entry), "Sphere goes from −35 to +20 D");
  });
  it("unusual but possible is said, and may be kept", () => {
    const entry = typed(SPHERE, ["-", "3", "1", ".00"]);
    assert.equal(notYet(SPHERE, entry), null);
    assert.equal(unusualWords(SPHERE, -3100), "Most eyes have −20.00 D or more.");
    assert.equal(unusualWords(SPHERE, -900), null);
  });
});

describe("a printed point", () => {
  it("stands after two digits of 11.62 and after one of 9.80", () => {
    assert.deepEqual(places(WHITE, digits(WHITE, "117")), { whole: "11", decimals: "7_" });
    assert.equal(typedText(WHITE, digits(WHITE, "1162")), "11.62");
    assert.equal(typedText(WHITE, digits(WHITE, "980")), "9.80");
  });
  it("moves only where one more digit can be meant: a pupil of 10.00", () => {
    assert.equal(typedText(PUPIL, digits(PUPIL, "100")), "1.00");
    assert.equal(typedText(PUPIL, digits(PUPIL, "1000")), "10.00");
  });
  it("lets no digit follow a complete depth", () => {
    assert.equal(typedText(DEPTH, digits(DEPTH, "3059")), "3.05");
  });
  it("is spoken of when somebody types one in another place", () => {
    assert.match(String(pointWords(WHITE, digits(WHITE, "1"))), /after 2 digits/);
    assert.equal(pointWords(WHITE, digits(WHITE, "11")), null);
    assert.match(String(pointWords(AXIS, digits(AXIS, "1"))), /whole number/);
  });
});

describe("a sign that is the exception", () => {
  it("is not asked for: an acuity of 0.04 is positive", () => {
    assert.equal(typedText(ACUITY, digits(ACUITY, "004")), "0.04");
  });
  it("can be given, and taken back by the same key", () => {
    assert.equal(recorded(ACUITY, typed(ACUITY, ["-", "0", "1", "0"])), -10);
    assert.equal(recorded(ACUITY, typed(ACUITY, ["-", "0", "1", "0", "-"])), 10);
  });
});

describe("every value that a record may hold", () => {
  const fields = QUANTITIES.flatMap((kind) =>
    Object.entries(KINDS[kind]?.fields ?? {}).filter(([, { type }]) => type === "int"),
  );
  assert.ok(fields.length >= 15);
  for (const [name, field] of /** @type {[string, any][]} */ (fields)) {
    it(`can be typed: ${field.label} (${name})`, () => {
      for (let value = field.min; value <= field.max; value += field.pad_step ?? field.step) {
        const entry = typed(field, keysFor(field, value));
        assert.equal(recorded(field, entry), value);
        // What was typed is kept beside the number; both languages must read it as that number.
        assert.equal(parseField(name, field, String(typedText(field, entry))), value);
      }
    });
  }
});

/**
 * The keys a person presses for a value, from the text it is shown as.
 *
 * @param {any} field
 * @param {number} value
 */
function keysFor(field, value) {
  const text = shownNumber(Math.abs(value), field.scale, field.shown_decimals);
  const plus = field.signed ? ["+"] : [];
  const sign = value < 0 ? ["-"] : plus;
  const [whole = "", decimals = ""] = text.split(".");
  if (hasQuarters(field)) return [...sign, ...whole, `.${decimals}`];
  return [...sign, ...whole, ...decimals];
}
