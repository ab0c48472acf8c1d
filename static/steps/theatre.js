/**
 * The list of the day in theatre, from the records that are here; and whether a printed sheet is
 * still of today.
 *
 * @import { Place } from "../main.js"
 * @import { Identity } from "../store/identity.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { Listed, Operated } from "./theatre_listed.js"
 * @import { Sheet } from "./theatre_sheet.js"
 * @typedef {{ rows: PersonRow[], identity: Identity, sheet: Sheet }} Model
 */
import { html, nothing } from "lit-html";
import { clinicalSites } from "../store/identity.js";
import { onChange } from "../store/journal.js";
import { eachOnce, peopleAt } from "../store/people.js";
import { syncStatus } from "../sync/client.js";
import { eyeMark, eyeSide, eyeWord } from "../ui/eyes.js";
import { icon } from "../ui/icons.js";
import { clock, day, moment, today } from "../ui/moments.js";
import { identifiers, pageHead, sectionHead } from "../ui/page.js";
import { emptyLine } from "../ui/waiting.js";
import { count } from "../ui/words.js";
import { onSummary } from "./casefile.js";
import { inOneGo, openPage, siteTitle, strips, tabs, together } from "./frame.js";
import { listedIn, operatedOn } from "./theatre_listed.js";
import { newSheet, sheetSection } from "./theatre_sheet.js";
import { unreadableNotice } from "./unreadable.js";

/**
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, identity }) {
  const sheet = newSheet(() => page.redraw());
  /** @type {Model} */
  const model = { rows: [], identity, sheet };
  const read = async () => {
    const sites = identity.site ? [identity.site] : clinicalSites(identity);
    model.rows = eachOnce((await Promise.all(sites.map(peopleAt))).flat());
    page.redraw();
  };
  const page = openPage(root, () => view(model));
  const readSoon = inOneGo(read);
  readSoon();
  return together([page.stop, onChange(readSoon), onSummary(readSoon), sheet.stop]);
}

/** @param {Model} model */
function view({ rows, identity, sheet }) {
  const all = listedIn(rows);
  const now = all.filter(({ listed }) => listed.day === today());
  const later = all.filter(({ listed }) => listed.day > today());
  const done = operatedOn(rows, today());
  const { lastHeard } = syncStatus();
  return html`${pageHead({ title: "Theatre", aside: day(today()) })} ${strips()}
    <main class="theatre">
      <p class="t-small soft">The list as the base had it, ${lastHeard ? moment(lastHeard) : "not heard yet on this device"},
        and what was kept here since.${identity.site ? ` ${siteTitle(identity, identity.site)}.` : ""}</p>
${unreadableNotice(rows)}
      ${now.length + done.length === 0 ? emptyLine("No eye is on the list of today. The base desk makes the list; it arrives when the base is heard.") : nothing}
      ${done.length === 0 ? nothing : html`<p class="strong">${done.length} of ${done.length + now.length} done</p>`}
      <ul class="rows">${now.map(listedRow)}</ul>
      ${done.length === 0 ? nothing : html`${sectionHead("Done today", count(done.length, "eye"))}
        <ul class="rows">${done.map(doneRow)}</ul>`}
      ${later.length === 0 ? nothing : html`<details class="more-findings"><summary>${count(later.length, "eye")} on later days</summary>
        <ul class="rows">${later.map(listedRow)}</ul></details>`}
      ${sectionHead("A printed sheet", "is it still of now?")}
      ${sheetSection(sheet)}
    </main>
    ${tabs("#/theatre", identity)}`;
}

/** @param {Listed} listed */
function listedRow({ row, eye, listed }) {
  const { day: on, place, ready, text, confirmed } = listed;
  const where = [on === today() ? null : day(on), place].filter(Boolean).join(", ");
  // Ready is neither done nor stopped, and waits for nobody but the reader: the word is enough.
  const mark = confirmed ? icon("tick") : ready ? nothing : icon("stop");
  return html`<li><a class="row theatre-row ${eyeSide(eye)}" href="#/theatre/${row.id}/${eye}">
    ${eyeMark(eye, { big: true })}
    <span class="stack"><span class="spread"><span class="t-head">${eyeWord(eye)}, ${row.name}</span>
      <span class="t-small soft">${identifiers(row)}</span></span>
    <span class="spread"><span class="tag ${confirmed ? "done" : ready ? "state" : "stop"}">${mark}${text}</span>
      ${where ? html`<span class="t-small soft">${where}</span>` : nothing}</span></span>
  </a></li>`;
}

/** @param {Operated} operated */
function doneRow({ row, eye, operated: { wall, serial } }) {
  const lens = serial ? `Serial number ${serial}` : "Serial number not read";
  return html`<li><a class="row theatre-row ${eyeSide(eye)}" href="#/person/${row.id}">
    ${eyeMark(eye, { big: true })}
    <span class="stack"><span class="spread"><span class="t-head">${eyeWord(eye)}, ${row.name}</span>
      <span class="t-small soft">${identifiers(row)}</span></span>
    <span class="spread"><span class="tag done">${icon("tick")}Surgery recorded ${clock(wall)}</span>
      <span class="t-small soft">${lens}</span></span></span>
  </a></li>`;
}
