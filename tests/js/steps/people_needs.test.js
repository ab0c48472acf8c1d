/** What a row of the list of people says an eye needs. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { isUnasked, needWords } from "../../../static/steps/people_needs.js";

const NOT_ASKED = { level: "stop", title: "Not asked", code: "H21.eye_disease" };
const PREGNANT = { level: "stop", title: "Pregnant or nursing", code: "D17.pregnant" };

/** @param {string} state @param {object} [more] @returns {any} */
const summary = (state, more = {}) => ({
  state,
  ...{ missing: [], wanted: [], worst: null, question: null, isAtBase: true },
  ...more,
});

/** @param {any} words a text, or a template with texts and templates in it @returns {string} */
const said = (words) =>
  typeof words === "string" ? words : words.values.map((/** @type {any} */ one) => (one ? said(one) : "")).join(" ").trim();

test("a question left out is work at an eye that was not sent, no alarm", () => {
  const missing = [{ kind: "reading.pupil", text: "" }];
  assert.equal(needWords(summary("measuring", { worst: NOT_ASKED, missing })), "Pupil; questions to ask");
  assert.equal(needWords(summary("ready", { worst: NOT_ASKED })), "Questions to ask");
});

test("once a surgeon waits for the eye it is a stop like any other", () => {
  assert.match(said(needWords(summary("queued", { worst: NOT_ASKED }))), /Stop.*Not asked/s);
});

test("what was found in the eye stays a stop", () => {
  assert.match(said(needWords(summary("measuring", { worst: PREGNANT }))), /Stop.*Pregnant or nursing/s);
  assert.equal(isUnasked(PREGNANT), false);
});

test("an eye that nobody opened says so", () => {
  assert.equal(needWords(undefined), "Open to see");
});

test("what only this phone knows of is not with the surgeon yet, nor decided at the base", () => {
  const tag = (/** @type {string} */ state, /** @type {boolean} */ isAtBase) => said(needWords(summary(state, { isAtBase })));
  assert.match(tag("queued", true), /With surgeon/);
  assert.match(tag("queued", false), /Waits to be sent/);
  assert.match(tag("approved", false), /not yet at the base/);
  assert.doesNotMatch(tag("ordered", false), /sent|base/);
});
