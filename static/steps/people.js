/**
 * The people of this camp: whom next, and what each eye still needs, in words.
 *
 * @import { Place } from "../main.js"
 * @import { Identity } from "../store/identity.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { EyeSummary } from "./casefile.js"
 * @import { Eye } from "../ui/eyes.js"
 */
import { html, nothing } from "lit-html";
import { repeat } from "lit-html/directives/repeat.js";
import { onChange } from "../store/journal.js";
import { clinicalSites } from "../store/identity.js";
import { eachOnce, peopleAt } from "../store/people.js";
import { syncStatus } from "../sync/client.js";
import { eyeMark, eyeSide, eyeWord, EYES } from "../ui/eyes.js";
import { icon } from "../ui/icons.js";
import { age } from "../ui/moments.js";
import { pageHead } from "../ui/page.js";
import { ORDERED } from "../ui/states.js";
import { emptyLine } from "../ui/waiting.js";
import { onSummary } from "./casefile.js";
import { callingWords } from "./follow_up_due.js";
import { clearedNotice } from "./my_keys.js";
import { inOneGo, openPage, siteTitle, strips, tabs, together } from "./frame.js";
import { needWords } from "./people_needs.js";
import { unreadableNotice } from "./unreadable.js";
import { count } from "../ui/words.js";

/** States in which the optometrist has nothing to do at this eye. */
const SETTLED = new Set(["queued", "approved", ...ORDERED, "implanted", "followed", "declined", "cancelled"]);

/**
 * @typedef {{ rows: PersonRow[], search: string, identity: Identity }} Model
 *
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, identity }) {
  const load = async () => eachOnce((await Promise.all(sitesOf(identity).map(peopleAt))).flat());
  /** @type {Model} */
  const model = { rows: await load(), search: "", identity };
  const page = openPage(root, () => view(model, search));
  /** @param {string} text */
  function search(text) {
    model.search = text;
    page.redraw();
  }
  const refresh = inOneGo(async () => {
    model.rows = await load();
    page.redraw();
  });
  const stops = [page.stop, onChange(refresh), onSummary(refresh)];
  return together(stops);
}

/**
 * Return the camps whose people are listed: the one chosen, or all of a surgeon's.
 *
 * @param {Identity} identity
 */
function sitesOf(identity) {
  return identity.site ? [identity.site] : clinicalSites(identity);
}

/**
 * @param {Model} model
 * @param {(text: string) => void} search
 */
function view({ rows, search: sought, identity }, search) {
  const found = rows.filter((row) => isSought(row, sought));
  return html`${pageHead({ title: identity.site ? siteTitle(identity, identity.site) : "All camps" })} ${strips()}
    <main>
      ${clearedNotice(identity)} ${unreadableNotice(rows)} ${afterSurgeryLine(rows)}
      ${searchField(sought, search)}
      ${
        rows.length === 0
          ? emptyLine(emptyWords())
          : columnWords(rows)
      }
      ${
        rows.length > 0 && found.length === 0
          ? emptyLine(`Nobody here matches “${sought}”. Check the spelling, or add a person.`)
          : nothing
      }
      <ul class="rows people" aria-label="People">${repeat(found, ({ id }) => id, personRow)}</ul>
      <div class="dock"><a class="btn main wide" href="#/new-person">${icon("plus")} Add a
        person</a></div>
    </main>
    ${tabs("#/people", identity)}`;
}

/** @param {PersonRow[]} rows */
function afterSurgeryLine(rows) {
  const words = callingWords(rows);
  if (!words) return nothing;
  return html`<p class="t-small"><a class="link" href="#/follow-up">After surgery: ${words}</a></p>`;
}

/**
 * @param {string} sought
 * @param {(text: string) => void} search
 */
function searchField(sought, search) {
  return html`<div class="search">
    <label class="visually-hidden" for="search">Find by name, camp code, village or phone</label>
    <input id="search" type="search" autocomplete="off" placeholder="Find by name, code, village"
      .value=${sought}
      @input=${(/** @type {any} */ event) => search(event.target.value)} />
  </div>`;
}

/** @param {PersonRow[]} rows */
function columnWords(rows) {
  const open = rows.flatMap(({ atBase, unreadable, summary }) =>
    EYES.filter((eye) => !atBase && !unreadable && !SETTLED.has(summary?.eyes[eye].state)),
  );
  return html`<div class="column-words t-micro soft">
    <span>${eyeMark("R")} Right eye</span>
    <span>${rows.length === 1 ? "1 person" : `${rows.length} people`},
      ${count(open.length, "eye")} open</span>
    <span>Left eye ${eyeMark("L")}</span>
  </div>`;
}

/**
 * Say whether a row answers the search: every word in the name, code, village or phone.
 *
 * @param {PersonRow} row
 * @param {string} sought
 */
function isSought({ name, camp_code, village, phone }, sought) {
  const text = plain([name, camp_code, village, phone ?? ""].join(" "));
  return plain(sought)
    .split(/\s+/)
    .every((word) => text.includes(word));
}

/** @param {string} text */
const plain = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();

/** @param {PersonRow} row */
function personRow(row) {
  return html`<li>
    <a class="row" href="#/person/${row.id}">
      <span class="spread">
        <span class="t-head">${row.name}</span>
        <span class="t-small soft">${age(row)} ·
          <span class="nowrap">${row.camp_code}</span>${row.waiting ? ` · ${row.waiting} waiting` : ""}</span>
      </span>
      ${row.atBase || row.unreadable ? html`<span class="t-small soft">${row.atBase ? "Kept at the base only" : "Does not open here"}</span>` : html`<span
        class="needs">${EYES.map((eye) => eyeNeed(eye, row.summary?.eyes[eye]))}</span>`}
    </a>
  </li>`;
}

/**
 * @param {Eye} eye
 * @param {EyeSummary | undefined} summary
 */
function eyeNeed(eye, summary) {
  return html`<span class="need ${eyeSide(eye)}">
    ${eyeMark(eye)}<span><span class="visually-hidden">${eyeWord(eye)}:
      </span>${needWords(summary)}</span>
  </span>`;
}

function emptyWords() {
  if (syncStatus().syncing) return "Fetching the people of this camp from the base.";
  return "Nobody here yet. Add a person; people seen before arrive when the base is heard.";
}
