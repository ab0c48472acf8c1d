/**
 * A visit after surgery, one quantity after the other without a page between, and at its end
 * everything that was kept, said back.
 *
 * @import { Place } from "../main.js"
 * @import { Identity } from "../store/identity.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { Eye } from "../ui/eyes.js"
 * @import { EyeRun } from "./visit_run.js"
 */
import { html, nothing } from "lit-html";
import { personHere } from "../store/people.js";
import { eyeBand, eyeFrom, eyeMark, eyeWord, otherEye } from "../ui/eyes.js";
import { findingList } from "../ui/findings.js";
import { clock } from "../ui/moments.js";
import { pageHead, personLine, sectionHead } from "../ui/page.js";
import { FOLLOW_UPS, kindOfSlug, quantityLabel, slugOf } from "../ui/quantities.js";
import { count } from "../ui/words.js";
import { emptyLine } from "../ui/waiting.js";
import { lensInEye } from "./lens_in_eye.js";
import { startCapture } from "./capture.js";
import { openCasefile } from "./casefile.js";
import { go, openPageOf, strips } from "./frame.js";
import { kindsOfVisit, visitOf } from "./visit_run.js";

/** The address of the page that ends a visit. */
const DONE = "done";

/**
 * @param {Place} place
 * @returns {Promise<() => void> | (() => void)}
 */
export function start({ root, params, identity }) {
  const [id = "", eyeParam, slug] = params;
  const eye = eyeFrom(eyeParam);
  const kind = kindOfSlug(slug);
  if (eye && kind) return startCapture({ root, id, eye, kind, identity, visit: visitOf(id) });
  if (eye && slug === DONE) return startDone({ root, id, eye, identity });
  go(eye ? firstAddress(id, eye) : `#/person/${id}`);
  return () => undefined;
}

/**
 * Return where a visit begins, or goes on.
 *
 * @param {string} id
 * @param {Eye} eye
 */
function firstAddress(id, eye) {
  const { kept, fold } = visitOf(id).eyes[eye];
  const next = kindsOfVisit(fold && lensInEye(fold)).find((kind) => !kept.has(kind));
  return `#/visit/${id}/${eye}/${next ? slugOf(next) : DONE}`;
}

/** @param {{ root: HTMLElement, id: string, eye: Eye, identity: Identity }} place */
async function startDone({ root, id, eye }) {
  const person = await personHere(id);
  const run = visitOf(id).eyes[eye];
  /** @type {any} */
  let fold = null;
  const page = openPageOf(
    root,
    id,
    () => view(person, eye, run, fold),
    async () => {
      fold = await openCasefile(id).then(
        (casefile) => casefile.fold.eyes,
        () => null,
      );
    },
  );
  return page.stop;
}

/**
 * @param {PersonRow | null} person
 * @param {Eye} eye
 * @param {EyeRun} run
 * @param {any} eyes of the fold, or null
 */
function view(person, eye, run, eyes) {
  if (!person) return html`<main>${emptyLine("This person is not on this phone.")}</main>`;
  const kept = [...run.kept.entries()];
  const left = FOLLOW_UPS.filter((kind) => !run.kept.has(kind));
  const word = eyeWord(eye).toLowerCase();
  return html`${pageHead({
    title: `Visit, ${word}`,
    name: person.name,
    back: { href: `#/person/${person.id}`, label: person.name },
  })}
    ${personLine(person)} ${strips()} ${eyeBand({ eye })}
    <main>
      ${eyes ? html`<div class="gap-top">${findingList(ofVisit(eyes[eye].findings, run))}</div>` : nothing}
      ${sectionHead("Kept in this visit", count(kept.length, "reading"))}
      ${kept.length === 0 ? emptyLine("Nothing was kept in this visit yet.") : nothing}
      <ul class="rows" aria-label="Kept in this visit">
        ${kept.map(([kind, one]) => html`<li><a class="row" href="#/capture/${person.id}/${eye}/${slugOf(kind)}">
          <div>${one.sentence}</div><div class="meta">${clock(one.instant)}</div></a></li>`)}
      </ul>
      ${left.length > 0 ? sectionHead("Not read in this visit") : nothing}
      <ul class="rows" aria-label="Not read in this visit">
        ${left.map((kind) => html`<li><a class="row" href="#/visit/${person.id}/${eye}/${slugOf(kind)}">
          <span>${quantityLabel(kind)}</span></a></li>`)}
      </ul>
      <div class="dock column">
        <a class="btn main wide" href="#/person/${person.id}">Back to ${person.name}</a>
        ${eyes && lensInEye(eyes[otherEye(eye)]) ? otherVisit(person.id, otherEye(eye)) : nothing}
      </div>
    </main>`;
}

/**
 * @param {string} id
 * @param {Eye} eye
 */
const otherVisit = (id, eye) => html`<a class="btn wide" href="#/visit/${id}/${eye}">${eyeMark(eye)}<span>Go
  on with the ${eyeWord(eye).toLowerCase()}</span></a>`;

/**
 * @param {import("../ui/findings.js").Finding[]} findings
 * @param {EyeRun} run
 */
function ofVisit(findings, { kept }) {
  const ids = new Set([...kept.values()].map(({ id }) => id));
  return findings.filter(({ records }) => records.some((id) => ids.has(id)));
}
