/** The check in theatre, apart from its drawing: what is asked first, what records say, who may go on. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { listedIn, operatedOn } from "../../../static/steps/theatre_listed.js";
import { asideBody, begun, boxName, checkBody, confirmationBody, daysOf, isAnotherBox, missingWho, noBox, questionOf, traceOf } from "../../../static/steps/theatre_model.js";
import { oursOf } from "../../../static/steps/theatre_said.js";
import { readHere } from "../../../static/steps/theatre_rows.js";
import { sentenceOf } from "../../../static/ui/axis_dial.js";

const READ = { lot: "LOT7", serial: "SER9", expiry_date: "2031-02-28" };
const DAYS = ["2026-11-29"];
/** @type {any} */
const MODEL = {
  ...{ eye: "L", order: "o", marked: "L", said: ["name", "birth"], second: "u-wren", seat: "head", ...noBox() },
  ...{ incision: "", incisionProblem: null, aside: [], answer: { theatre: { order: "o", label: "b" } } },
};
/** @param {string} why */
const differing = (why) => ({ rows: [{ outcome: "agrees", why: "" }, { outcome: "differs", why, field: "serial", code: "SER1" }] });

describe("before the box", () => {
  it("asks for two things about the person, the mark, the second person and the seat, one after the other", () => {
    assert.equal(missingWho(MODEL), null);
    const without = { said: ["name"], marked: null, second: null, seat: null };
    for (const [name, nothing] of Object.entries(without)) assert.ok(missingWho({ ...MODEL, [name]: nothing }), name);
  });
});

describe("a check that was just opened", () => {
  it("has nothing filled in that somebody is to say, and asks for the person first", () => {
    const model = begun({ id: "p", eye: "L", person: null, identity: /** @type {any} */ ({}) });
    const { said, marked, second, seat, code, same, seen, axisSaid, passphrase, incision, step } = model;
    assert.deepEqual([said, marked, second, seat, code, same], [[], null, null, null, null, null]);
    assert.deepEqual([seen, axisSaid, passphrase, incision, step], [false, false, "", "", "who"]);
    assert.equal(missingWho(model), "Two things about the person first");
  });
});

describe("what was read off a box", () => {
  it("is whole or nothing", () => {
    assert.deepEqual(traceOf({ ...READ, lot: " LOT7 " }), READ);
    assert.equal(traceOf({ ...READ, serial: "  " }), null);
  });

  it("of the first person counts only once it is hidden from the second", () => {
    assert.equal(questionOf({ ...MODEL, first: READ }, DAYS).trace, null);
    assert.deepEqual(questionOf({ ...MODEL, first: READ, isFirstRead: true }, DAYS).trace, READ);
  });

  it("here stands for the code and whoever read it; a difference shows both", () => {
    const row = { code: "SER9", first: "SER9", second: null };
    assert.equal(readHere(row), "SER9");
    assert.equal(readHere({ ...row, first: "SER8" }), "SER9 / SER8");
    assert.equal(readHere({ code: null, first: null, second: null }), null);
    assert.equal(readHere({ code: "2031-02-28", first: null, second: null }), "28 Feb 2031");
  });
});

describe("today, for the last day of a lens", () => {
  const UNHEARD = { lastHeard: null, skewMs: null };
  /** @param {string | null} received_at @returns {any[]} */
  const entries = (received_at) => [{ received_at: null }, { received_at }, { received_at: "2026-11-01T08:00:00.000Z" }];
  it("is never before the newest record's receipt at the base", () => {
    assert.equal(daysOf(entries("2099-03-01T23:59:59.999Z"), UNHEARD).at(-1), "2099-03-01");
    assert.equal(daysOf([], UNHEARD).length, 2);
  });
  it("nor before the base's own time when it was last heard, however far this clock is set back", () => {
    // This device said 2020-01-01 08:00 when the base said 2099-03-02 08:00.
    const lastHeard = "2020-01-01T08:00:00.000Z";
    const skewMs = Date.parse(lastHeard) - Date.parse("2099-03-02T08:00:00.000Z");
    assert.equal(daysOf(entries("2099-03-01T12:00:00.000Z"), { lastHeard, skewMs }).at(-1), "2099-03-02");
    assert.equal(daysOf(entries("2099-03-03T12:00:00.000Z"), { lastHeard, skewMs }).at(-1), "2099-03-03");
  });
  it("passes over what is no time, and goes to the core with what others carry in their eyes", () => {
    assert.equal(daysOf(entries("no time"), UNHEARD).at(-1), "2026-11-01");
    const elsewhere = [{ id: "a" }];
    assert.deepEqual(questionOf({ ...MODEL, elsewhere }, DAYS).others, elsewhere);
    assert.deepEqual(questionOf({ ...MODEL, elsewhere }, DAYS).days, DAYS);
  });
});

describe("a box that differs", () => {
  it("may be put aside only where it is another box, a slip in reading or the other eye", () => {
    for (const why of ["not_released", "readings_differ", "other_eye"]) assert.equal(isAnotherBox(differing(why)), true, why);
    for (const why of ["expired", "not_ordered", "not_shown", "something new"]) assert.equal(isAnotherBox(differing(why)), false, why);
    const both = { rows: [...differing("not_released").rows, ...differing("expired").rows] };
    assert.equal(isAnotherBox(both), false);
  });

  it("is put aside with what was read of it, and why", () => {
    const answer = { ...MODEL.answer, box: differing("not_released") };
    const read = { ...MODEL, answer, code: "(21)SER1", first: { lot: "LOT7" } };
    assert.deepEqual(asideBody(read), { order: "o", code: "(21)SER1", trace: null, second_trace: null, why: "another" });
    assert.equal(asideBody({ ...read, answer: { ...answer, box: differing("readings_differ") } }).why, "readings");
  });

  it("stays on record with the box that was taken", () => {
    const name = boxName(differing("not_released"));
    assert.match(checkBody({ ...MODEL, aside: [name] }, "agrees").note ?? "", /serial number SER1/);
    assert.equal(checkBody(MODEL, "agrees").note, null);
    assert.equal(checkBody({ ...MODEL, code: null }, "agrees").code_by, null);
    assert.equal(checkBody({ ...MODEL, code: "]d2" }, "agrees").code_by, "reader");
  });
});

describe("the second person", () => {
  it("says the axis of a lens that has one", () => {
    assert.deepEqual(confirmationBody({ axis_deg: 15 }, "c"), { check: "c", marks: "seen", axis_said: 1 });
    assert.deepEqual(confirmationBody({ axis_deg: null }, "c"), { check: "c", marks: "seen", axis_said: null });
  });

  it("hears it in words", () => {
    /** @type {any} */
    const view = { text: "Nose end 15° towards you, temple end 15° away." };
    assert.equal(sentenceOf(view, 15), "Lens axis 15. Nose end 15° towards you, temple end 15° away.");
    assert.match(sentenceOf(view, null), /no axis/);
  });
});

describe("the list", () => {
  it("has who was put on it and whose records are here, by day, place and name", () => {
    /** @param {string} name @param {any} right @param {any} left */
    const row = (name, right, left, atBase = false) =>
      /** @type {any} */ ({ id: name, name, atBase, summary: { eyes: { R: { theatre: right }, L: { theatre: left } } } });
    const on = (/** @type {string} */ day, /** @type {string | null} */ place = null) => ({ day, place });
    const rows = [row("B", on("2026-12-02"), on("2026-12-01", "2")), row("A", null, on("2026-12-01", "2")), row("C", on("2026-12-01"), null, true),
      /** @type {any} */ ({ id: "D", name: "D", atBase: false, summary: null })];
    assert.deepEqual(listedIn(rows).map(({ row: { name }, eye }) => `${name} ${eye}`), ["A L", "B L", "B R"]);
  });

  it("keeps who was operated today, the first one first", () => {
    /** @param {string} name @param {any} operated */
    const row = (name, operated) =>
      /** @type {any} */ ({ id: name, name, atBase: false, summary: { eyes: { R: { operated }, L: { operated: null } } } });
    const on = (/** @type {string} */ day, /** @type {string} */ wall) => ({ day, wall, serial: "SER9" });
    const rows = [row("B", on("2026-12-01", "11:00")), row("A", on("2026-12-01", "10:00")), row("C", on("2026-11-30", "09:00")), row("D", null)];
    assert.deepEqual(operatedOn(rows, "2026-12-01").map(({ row: { name }, eye }) => `${name} ${eye}`), ["A R", "B R"]);
  });
});

describe("what is recorded of the person", () => {
  it("is asked for where it is known, a year alone included", () => {
    /** @param {any} person */
    const ours = (person) => oursOf({ person });
    const known = { name: "A", birth_date: "1999-05-03", birth_year: null, camp_code: "SP-1", village: "V" };
    assert.deepEqual(ours(known), { name: "A", village: "V", camp_code: "SP-1", birth: "born 3 May 1999" });
    assert.equal(ours({ ...known, birth_date: null, birth_year: 1999 }).birth, "born 1999");
    assert.equal(ours({ ...known, birth_date: null }).birth, null);
  });
});
