/**
 * A lens in an eye that lies badly: what was found against what was planned, four checks, what
 * another lens would do and what there is beside it, and one decision, signed offline.
 *
 * The surgeon's page of an eye lends its model, findings, sheet and passphrase; what is signed is
 * what the calculation gave for this very page.
 *
 * @import { Place } from "../main.js"
 * @import { Lens, Model as CaseModel } from "./case.js"
 * @typedef {CaseModel & { digestWithout: string }} Model `digest` is of an exchange with the lens in
 *   view, `digestWithout` of every other decision
 * @typedef {{ redraw: () => void, refresh: () => Promise<void>, choose: (choice: Lens) => Promise<void>, say: (name: string, text: string) => void }} Acts
 */
import { digestOf } from "../records/envelope.js";
import { namesOfUsers } from "../store/keys.js";
import { onChange } from "../store/journal.js";
import { personHere } from "../store/people.js";
import { onSyncStatus, syncStatus } from "../sync/client.js";
import { eyeOf } from "../ui/eyes.js";
import { onUpdate, updateStatus } from "../update.js";
import { newModel } from "./case.js";
import { isOld } from "./case_gate.js";
import { keepTyped, recallTyped } from "./case_typed.js";
import { NO_AIMS, openCasefile, planOf } from "./casefile.js";
import { exchangeView } from "./exchange_view.js";
import { CHECKS } from "./exchange_gate.js";
import { coreSha256, openPage, together } from "./frame.js";

/**
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, params: [id = "", eyeParam], identity }) {
  /** @type {Model} */
  const model = {
    ...newModel(identity, id, eyeOf(eyeParam)),
    ...{ typedUnder: "exchange", digestWithout: "" },
  };
  model.person = await personHere(id);
  await recallTyped(model);
  model.choice = choiceKept(model);
  const redraw = () => page.redraw();
  const refresh = async () => {
    await calculate(model);
    redraw();
  };
  const say = (/** @type {string} */ name, /** @type {string} */ text) => {
    model.said.set(name, text);
    void keepTyped(model);
    redraw();
  };
  /** @param {Lens} choice */
  const choose = async (choice) => {
    model.choice = choice;
    say("lens", JSON.stringify(choice));
    await refresh();
  };
  const look = () => lookAtVersion(model);
  // Before the page listens, so that it is drawn with what they found.
  const stops = [onSyncStatus(look), onUpdate(look)];
  const page = openPage(root, () => exchangeView(model, { redraw, refresh, choose, say }));
  const stopStore = onChange(({ persons, why }) => {
    if (persons.includes(id) || why === "page") void refresh();
  });
  void refresh();
  return together([page.stop, stopStore, ...stops]);
}

/** @param {Model} model @returns {Lens | null} */
function choiceKept({ said }) {
  const kept = said.get("lens");
  return kept ? JSON.parse(kept) : null;
}

/** @param {Model} model */
async function calculate(model) {
  try {
    model.person = await personHere(model.id);
    const before = model.plan ? boundIn(model) : null;
    model.casefile = await openCasefile(model.id);
    model.plan = await planOf(model.casefile, model.eye, model.choice, NO_AIMS, "exchange");
    const { shown, shown_without: without } = model.plan;
    model.digest = shown ? await digestOf(shown) : "";
    model.digestWithout = without ? await digestOf(without) : "";
    model.names = await namesOfUsers();
    model.trouble = null;
    lookAtVersion(model);
    if (before !== null && before !== boundIn(model)) forget(model);
  } catch (error) {
    model.trouble = /** @type {Error} */ (error).message;
  }
}

/** @param {Model} model */
function lookAtVersion(model) {
  model.isOldPage = isOld(updateStatus().ready, syncStatus().serverCore, coreSha256());
}

/**
 * Return the records that a decision would bind, as one text.
 *
 * @param {Model} model
 */
function boundIn({ plan }) {
  const { evidence = [], followups = [], implant = "" } = plan.shown_without ?? {};
  return [implant, ...evidence, ...followups].join(" ");
}

/**
 * Newer records came: the checks were about others, so everything is asked again.
 *
 * @param {Model} model
 */
function forget(model) {
  model.acknowledged.clear();
  for (const check of CHECKS) model.said.delete(`sure.${check}`);
  void keepTyped(model);
  Object.assign(model, { isRead: false, sheet: null, typed: "" });
  if (!model.kept) {
    model.notice = "The records of this eye changed while you looked. Read it again before you decide.";
  }
}
