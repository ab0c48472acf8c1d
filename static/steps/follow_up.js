/**
 * Who of this camp is to be seen after surgery: the lost first, then the overdue, then the due.
 *
 * It needs no network and no calculation: each person's short account says how they stand.
 *
 * @import { Place } from "../main.js"
 * @import { Identity } from "../store/identity.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { Calling } from "./follow_up_due.js"
 */
import { html, nothing } from "lit-html";
import { onChange } from "../store/journal.js";
import { clinicalSites } from "../store/identity.js";
import { peopleAt } from "../store/people.js";
import { eyeMark, eyeWord } from "../ui/eyes.js";
import { identifiers, pageHead, sectionHead } from "../ui/page.js";
import { count } from "../ui/words.js";
import { emptyLine } from "../ui/waiting.js";
import { onSummary } from "./casefile.js";
import { CALLING, callingOf } from "./follow_up_due.js";
import { inOneGo, openPage, siteTitle, strips, tabs, together } from "./frame.js";
import { unreadableNotice } from "./unreadable.js";

/**
 * @typedef {{ rows: PersonRow[], identity: Identity }} Model
 *
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, identity }) {
  const sites = identity.site ? [identity.site] : clinicalSites(identity);
  const load = async () => (await Promise.all(sites.map(peopleAt))).flat();
  /** @type {Model} */
  const model = { rows: await load(), identity };
  const page = openPage(root, () => view(model));
  const refresh = inOneGo(async () => {
    model.rows = await load();
    page.redraw();
  });
  return together([page.stop, onChange(refresh), onSummary(refresh)]);
}

/** @param {Model} model */
function view({ rows, identity }) {
  const found = callingOf(rows);
  const where = identity.site ? siteTitle(identity, identity.site) : "All camps";
  const back = { href: "#/people", label: where };
  return html`${pageHead({ title: "After surgery", back })} ${strips()}
    <main>
      ${unreadableNotice(rows)}
      ${found.length === 0 ? emptyLine("Nobody here is due after surgery today.") : nothing}
      ${Object.entries(CALLING).map(([state, title]) => group(title, found.filter((one) => one.state === state)))}
    </main>
    ${tabs("#/people", identity)}`;
}

/**
 * @param {string} title
 * @param {Calling[]} found
 */
function group(title, found) {
  if (found.length === 0) return nothing;
  return html`${sectionHead(title, count(found.length, "eye"))}
    <ul class="rows" aria-label=${title}>
      ${found.map(
        ({ row, eye, text }) => html`<li><a class="row" href="#/person/${row.id}">
          <span>${eyeMark(eye)} <b>${row.name}</b>, ${eyeWord(eye).toLowerCase()}
            <br /><span class="t-small soft">${identifiers(row)} · ${row.village}${row.phone ? ` · ${row.phone}` : ""}</span></span>
          <span class="meta">${text}</span></a></li>`,
      )}
    </ul>`;
}
