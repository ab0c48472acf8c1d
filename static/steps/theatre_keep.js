/**
 * What is signed at a check in theatre, each by the key of whoever says it; nothing is lost where it
 * could not be kept.
 *
 * @import { Acts } from "./theatre_eye.js"
 * @import { Model } from "./theatre_model.js"
 */
import { keepRecord, NotKept } from "../store/journal.js";
import { handOf } from "../store/other_hand.js";
import { NotOpened } from "../store/unlock.js";
import { ASIDE, asideBody, boxName, CHECKED, checkBody, CONFIRMED, confirmationBody, noBox } from "./theatre_model.js";

/** @param {Model} model */
export async function signCheck(model) {
  await keepRecord({ ...about(model), kind: CHECKED, body: checkBody(model, "agrees") });
  model.step = "second";
}

/** @param {Model} model */
export async function signConfirmation(model) {
  const { passphrase, answer } = model;
  model.passphrase = "";
  const by = await handOf(model.second ?? "", passphrase);
  await keepRecord({ ...about(model), kind: CONFIRMED, body: confirmationBody(answer.lens, answer.theatre.check.id) }, { by });
  // What is done shows once the records say so.
  Object.assign(model, noBox());
}

/**
 * @param {Model} model
 * @param {"differs" | "not_implanted"} outcome
 * @param {{ why: string | null, note: string | null }} words
 */
export async function signEnd(model, outcome, words) {
  await keepRecord({ ...about(model), kind: CHECKED, body: checkBody(model, outcome, words) });
  Object.assign(model, { ...noBox(), ending: null, step: "who" });
  model.ended = "Ended without implanting, and kept. The base is told at the next exchange; the desk checks the box again before it may go back.";
}

/**
 * A box that is put aside is on record before another one is looked at, whatever becomes of the check.
 *
 * @param {Model} model
 * @param {() => Promise<void>} ask
 */
export async function signAside(model, ask) {
  await keepRecord({ ...about(model), kind: ASIDE, body: asideBody(model) });
  const aside = [...model.aside, boxName(model.answer.box)];
  Object.assign(model, { ...noBox(), aside, rescanned: null, step: model.step === "who" ? "who" : "box" });
  await ask();
}

/** @param {Model} model */
const about = ({ id, eye, person }) => ({ person: id, eye, site: person?.site });

/**
 * @param {Model} model
 * @param {Acts} acts
 * @param {() => Promise<void>} work
 */
export async function kept(model, acts, work) {
  if (model.busy) return;
  acts.change({ busy: true, trouble: null, passphraseProblem: null });
  try {
    await work();
  } catch (error) {
    if (!(error instanceof NotKept || error instanceof NotOpened)) throw error;
    // What a second person typed is answered where they typed it.
    if (error instanceof NotOpened) model.passphraseProblem = error.message;
    else model.trouble = error.message;
  } finally {
    acts.change({ busy: false });
  }
}
