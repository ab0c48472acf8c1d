/**
 * The check of one eye in theatre: who lies here, is this the box, how will the lens lie, and a
 * second person's own passphrase. The core compares; a difference stops, with no way past it.
 *
 * @import { Place } from "../main.js"
 * @import { Model } from "./theatre_model.js"
 */
import { html, nothing } from "lit-html";
import { CoreFailed, coreStatus } from "../core/runtime.js";
import { boxAndSheet } from "../scan/reader.js";
import { Scanning } from "../scan/scanning.js";
import { clinicalSites } from "../store/identity.js";
import { implantedInOthers } from "../store/implanted.js";
import { registrationsOf } from "../store/joined.js";
import { othersWhoSign } from "../store/other_hand.js";
import { personHere } from "../store/people.js";
import { syncStatus } from "../sync/client.js";
import { eyeBand, eyeOf, eyeWord } from "../ui/eyes.js";
import { findingBlock } from "../ui/findings.js";
import { focusField } from "../ui/form.js";
import { notKeptLine } from "../ui/kept_line.js";
import { moment, today } from "../ui/moments.js";
import { pageHead } from "../ui/page.js";
import { coreNotice, emptyLine, waitingLine } from "../ui/waiting.js";
import { askAbout, openCasefile } from "./casefile.js";
import { openPageOf, strips, together } from "./frame.js";
import { boxStep } from "./theatre_box.js";
import { kept, signAside, signCheck, signConfirmation, signEnd } from "./theatre_keep.js";
import { begun, CONFIRMED, daysOf, passphraseIsNext, questionOf } from "./theatre_model.js";
import { doneStep, FIELD, secondStep } from "./theatre_second.js";
import { endButton, endSheet, stopPage } from "./theatre_stop.js";
import { whoseNote } from "./theatre_said.js";
import { whoStep } from "./theatre_who.js";

const STEPS = { who: "person, 1 of 3", box: "lens, 2 of 3", second: "second person, 3 of 3", done: "done" };

/**
 * @typedef {object} Acts
 * @property {(part: Partial<Model>) => void} change
 * @property {(part: Partial<Model>) => void} look change it and ask the core again
 * @property {() => void} scan
 * @property {(file: File | undefined) => void} picture
 * @property {() => void} keepCheck the print was said to be the same: kept if the core agrees
 * @property {() => void} confirm
 * @property {() => void} putAside keep that this box was put aside, and look at another
 * @property {(outcome: "differs" | "not_implanted", words: { why: string | null, note: string | null }) => void} end
 *
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, params: [id = "", eyeParam], identity }) {
  const eye = eyeOf(eyeParam);
  const person = await personHere(id);
  const model = begun({ id, eye, person, identity });
  let turn = 0;
  let stood = placeOf(model);
  let wasNext = false;
  const draw = () => {
    page.redraw();
    const stands = placeOf(model);
    if (stands !== stood) arrive();
    stood = stands;
    // Whichever came last, the ticks or the first check's own reading.
    if (passphraseIsNext(model) && !wasNext) focusField(FIELD);
    wasNext = passphraseIsNext(model);
  };
  const ask = async () => {
    const { casefile } = model;
    if (!casefile) return;
    turn += 1;
    const mine = turn;
    try {
      const answer = await askAbout(casefile, questionOf(model, daysOf(casefile.entries, syncStatus())));
      if (mine !== turn) return;
      Object.assign(model, { answer, trouble: null });
    } catch (error) {
      if (!(error instanceof CoreFailed)) throw error;
      // Refused is what nobody looks at any more: a newer question is on its way.
      if (mine !== turn) return;
      noteRefusal(model, error.message);
    }
    draw();
  };
  const scanning = new Scanning({
    onCode: (code) => acts.look({ code, codeProblem: null, rescanned: model.step === "done" ? new Date().toISOString() : null }),
    onSheet: (sheet) => (sheet === model.sheet ? undefined : acts.look({ sheet })),
    pick: boxAndSheet,
    onSay: (scanSaid) => acts.change({ scanSaid }),
    onLook: (isScanning) => acts.change({ isScanning }),
  });
  /** @type {Acts} */
  const acts = {
    change(part) {
      Object.assign(model, part);
      draw();
    },
    look(part) {
      acts.change(part);
      void ask();
    },
    scan: () => void scanning.press(/** @type {HTMLVideoElement} */ (document.getElementById("scan-view"))),
    picture: (file) => void scanning.choose(file),
    keepCheck: () => void kept(model, acts, async () => {
      model.same = 1;
      await ask();
      if (model.answer?.outcome === "agrees") await signCheck(model);
    }),
    confirm: () => void kept(model, acts, () => signConfirmation(model)),
    putAside: () => void kept(model, acts, () => signAside(model, ask)),
    end: (outcome, words) => void kept(model, acts, () => signEnd(model, outcome, words)),
  };
  const page = openPageOf(root, id, () => view(model, acts), async () => {
    await load(model);
    await ask();
    arriveAt(model);
    draw();
  });
  return together([page.stop, () => scanning.end("")]);
}

/** @param {Model} model */
async function load(model) {
  if (!model.person) return;
  try {
    model.casefile = await openCasefile(model.id);
  } catch (error) {
    if (!(error instanceof CoreFailed)) throw error;
    model.trouble = error.message;
    return;
  }
  const { theatre } = model.casefile.fold.eyes[model.eye];
  // An order that takes the place of this one while the page is open is a stop, not a new page.
  model.order ??= theatre?.order ?? null;
  model.elsewhere = await surgeriesOfOthers(model, theatre?.label ?? null);
  const first = theatre?.check?.author ?? model.identity.user.id;
  model.others = await othersWhoSign(CONFIRMED, model.person.site, first);
}

/**
 * Return what this device holds of lenses with the serial number of the released box, in others.
 *
 * @param {Model} model
 * @param {string | null} label
 */
async function surgeriesOfOthers({ id, casefile, identity }, label) {
  const serial = casefile?.entries.find((one) => one.id === label)?.payload.body.first.serial ?? null;
  return serial === null ? [] : implantedInOthers(serial, clinicalSites(identity), await registrationsOf(id));
}

/** Which page of the check stands there. @param {Model} model */
const placeOf = ({ answer, step, ended }) => (answer?.box?.outcome === "differs" ? "stop" : `${step} ${ended ?? ""}`);

/** Another page of the check begins at its top, for eyes and for who listens. */
function arrive() {
  const heading = document.getElementById("stop-title") ?? document.querySelector("h1");
  heading?.focus({ preventScroll: true });
  scrollTo(0, 0);
}

/** A check of today that stands goes on where it was left. @param {Model} model */
function arriveAt(model) {
  const { check, confirmed } = model.answer?.theatre ?? {};
  if (!check || check.device_day !== today() || model.ended) return;
  model.step = confirmed ? "done" : "second";
}

/**
 * What cannot be used was just scanned or typed; the message says which.
 *
 * @param {Model} model
 * @param {string} message
 */
function noteRefusal(model, message) {
  if (model.code !== null) Object.assign(model, { code: null, codeProblem: message });
  else model.trouble = message;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function view(model, acts) {
  const { person, eye, answer, step } = model;
  if (!person) return html`<main>${emptyLine("This person is not on this device.")}</main>`;
  if (answer?.box?.outcome === "differs") return stopPage(model, acts);
  const title = `Theatre check, ${STEPS[step]}`;
  return html`${pageHead({ title, name: person.name, back: { href: "#/theatre", label: "List of the day" } })} ${strips()}
    ${eyeBand({ eye, note: whoseNote(person, { isAsked: step === "who" && !model.ended }) })}
    <main class="theatre">
      <h2 class="visually-hidden">${title}</h2>
      ${model.ended ? html`<p class="notice strong" role="status">${model.ended}</p>` : nothing}
      ${model.trouble ? notKeptLine(model.trouble) : nothing}
      ${answer ? found(model, acts) : html`${coreNotice(coreStatus())}${waitingLine("Putting the records together, about 1 second.")}`}
      ${endSheet(model, acts)}
    </main>`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function found(model, acts) {
  const { answer, step, ended } = model;
  const stops = answer.stops.map((/** @type {any} */ stop) => findingBlock({ ...stop, level: "stop" }));
  return html`<p class="t-small soft">Records as the base had them, ${heardWords()}, and what was kept here since.</p>
    ${answer.backup ? html`<p class="notice">${answer.backup.sentence} <a class="link" href="#/theatre/${model.id}/${model.eye}/backup">Both
      lenses of this eye</a></p>` : nothing}
    <div class="stack">${stops}</div>
    ${answer.stops.length > 0 ? stopped(model, acts) : nothing}
    ${answer.stops.length === 0 && !ended ? { who: whoStep, box: boxStep, second: secondStep, done: doneStep }[step](model, acts) : nothing}`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function stopped({ answer, ended, eye }, acts) {
  if (!answer.theatre || ended) return html`<div class="dock"><a class="btn wide" href="#/theatre">Back to the list of the day</a></div>`;
  return html`<div class="dock">${endButton(acts)}<span class="btn off wide">${eyeWord(eye)}: see the stop above</span></div>`;
}

function heardWords() {
  const { lastHeard } = syncStatus();
  return lastHeard ? moment(lastHeard) : "not heard yet on this device";
}
