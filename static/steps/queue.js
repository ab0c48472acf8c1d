/**
 * The surgeon's queue: one row an eye, what is urgent first, then the worst finding, then the longest wait.
 *
 * @import { Place } from "../main.js"
 * @import { Identity } from "../store/identity.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { QueueRow } from "./queue_rows.js"
 */
import { html, nothing } from "lit-html";
import { repeat } from "lit-html/directives/repeat.js";
import { clinicalSites } from "../store/identity.js";
import { onChange } from "../store/journal.js";
import { namesOfUsers } from "../store/keys.js";
import { eachOnce, peopleAt } from "../store/people.js";
import { allSeen } from "../store/seen.js";
import { syncStatus } from "../sync/client.js";
import { eyeSide, eyeWord, eyeMark } from "../ui/eyes.js";
import { levelTag } from "../ui/findings.js";
import { moment, sinceInWords } from "../ui/moments.js";
import { powerView } from "../ui/power.js";
import { identifiers, pageHead, sectionHead } from "../ui/page.js";
import { stateTag, tag } from "../ui/states.js";
import { emptyLine } from "../ui/waiting.js";
import { onSummary } from "./casefile.js";
import { clearedNotice } from "./my_keys.js";
import { openPage, siteTitle, strips, tabs, together } from "./frame.js";
import { addressOf, asksAgain, caseKey, hasLens, isDecided, queueOf } from "./queue_rows.js";
import { unreadableNotice } from "./unreadable.js";
import { count } from "../ui/words.js";

const SILENT_MS = 12 * 3_600_000;

/**
 * @typedef {{ identity: Identity, people: PersonRow[], seen: Map<string, any>, names: Map<string, string>, uncounted: number }} Model
 *
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, identity }) {
  const model = { identity, ...(await load(identity)) };
  const page = openPage(root, () => view(model));
  const refresh = async () => {
    Object.assign(model, await load(identity));
    page.redraw();
  };
  const stops = [page.stop, onChange(() => void refresh()), onSummary(() => void refresh())];
  return together(stops);
}

/** @param {Identity} identity */
async function load(identity) {
  const sites = clinicalSites(identity);
  const [lists, seen, names] = await Promise.all([
    Promise.all(sites.map(peopleAt)),
    allSeen(identity.user.id),
    namesOfUsers(),
  ]);
  const people = eachOnce(lists.flat());
  const uncounted = people.filter(({ summary, atBase, unreadable }) => !summary && !atBase && !unreadable).length;
  return { people, seen, names, uncounted };
}

/** @param {Model} model */
function view(model) {
  const { identity, people, seen, uncounted } = model;
  const { waiting, asked, decided } = queueOf(people, seen, syncStatus().checks);
  return html`${pageHead({ title: "Queue", aside: `${count(waiting.length, "eye")} to decide` })} ${strips()}
    <main>
      ${clearedNotice(identity)} ${unreadableNotice(people)}
      <p class="t-small soft gap-top">First an exchange asked for vault, angle or pressure, then the worst finding, then the longest wait.</p>
      ${uncounted > 0 ? html`<p class="notice soft" role="status">${count(uncounted, "person")
        .replace("persons", "people")} still being read; the list may grow.</p>` : nothing}
      ${waiting.length === 0 ? emptyLine(emptyWords(people.length)) : list("To decide", waiting, model)}
      ${asked.length > 0 ? html`${sectionHead("Asked; the camp has not answered")}${list("Asked", asked, model)}` : nothing}
      ${decided.length > 0 ? html`${sectionHead("Decided", "the newest first")}${list("Decided", decided, model)}` : nothing}
      ${silentDevices()}
    </main>
    ${tabs("#/queue", identity)}`;
}

/** @param {number} people */
function emptyWords(people) {
  const { lastHeard, syncing } = syncStatus();
  if (people === 0 && syncing) return "Fetching the eyes of your camps from the base.";
  if (people === 0 && !lastHeard) return "Nothing has been fetched yet. Open the outbox and fetch.";
  return lastHeard ? `No eye waits for you. As of ${moment(lastHeard)}.` : "No eye waits for you.";
}

/**
 * A row stays the same element while the list is sorted anew, so that what has the focus, or is
 * under the finger, doesn't turn into somebody else.
 *
 * @param {string} label
 * @param {QueueRow[]} rows
 * @param {Model} model
 */
const list = (label, rows, model) =>
  html`<ul class="rows" aria-label=${label}>${repeat(rows, ({ person, eye }) => caseKey(person.id, eye), (row) => caseRow(row, model))}</ul>`;

/**
 * @param {QueueRow} row
 * @param {Model} model
 */
function caseRow(row, { identity, names }) {
  const { person, eye, summary } = row;
  const { refraction, asked } = summary;
  return html`<li><a class="row case-row ${eyeSide(eye)}" href=${addressOf(row)}>
    ${eyeMark(eye, { big: true })}
    <span class="stack tight">
      <span class="spread"><span class="t-head">${person.name}</span> <span class="t-small soft">${when(row)}</span></span>
      <span class="t-small soft">${identifiers(person)} · ${siteTitle(identity, person.site)}</span>
      <span>${eyeWord(eye)}${refraction ? html`, ${powerView(refraction)}${hasLens(row) ? " before surgery" : nothing}` : nothing}</span>
      ${asked ? html`<span class="t-small">${names.get(asked.author) ?? "Somebody"} asks to weigh an exchange: ${asked.text}</span>` : nothing}
      <span class="tags">${tags(row)}</span>
    </span>
  </a></li>`;
}

/**
 * How long an eye waits, or since when it waits no more.
 *
 * @param {QueueRow} row
 */
function when(row) {
  const { sentAt, decidedAt, asked } = row.summary;
  if (asked) return `asked ${sinceInWords(asked.wall)} ago`;
  // The day of the order says nothing of when the eye was found so.
  if (hasLens(row) && asksAgain(row)) return "";
  if (isDecided(row) && decidedAt) return moment(decidedAt).split(",")[0];
  return sentAt ? `sent ${sinceInWords(sentAt)} ago` : "";
}

/**
 * What was answered for in a decision is not repeated here; what contradicts one is.
 *
 * @param {QueueRow} row
 */
function tags(row) {
  const { state, worst, isAtBase, asked } = row.summary;
  const isOpen = Boolean(asked) || ["queued", "stale", "returned"].includes(state);
  return html`${state === "queued" ? nothing : stateTag(state, { atBase: isAtBase })}
    ${row.hasChanged ? tag("stale", "changed", "Changed since you looked") : nothing}
    ${row.differs ? levelTag("stop", "The base calculates otherwise") : nothing}
    ${worst && (isOpen || asksAgain(row)) ? levelTag(worst.level, worst.title) : nothing}`;
}

/** Devices that may hold readings nobody here has seen. */
function silentDevices() {
  const silent = syncStatus().devices.filter(
    ({ last_heard }) => !last_heard || Date.now() - Date.parse(last_heard) > SILENT_MS,
  );
  if (silent.length === 0) return nothing;
  return html`${sectionHead("Not heard from for 12 hours")}
    <ul class="rows">${silent.map(
      ({ label, name, last_heard }) => html`<li class="row t-small">${label}, ${name}:
        ${last_heard ? `${sinceInWords(last_heard)} ago` : "never"}. It may hold readings that are not here.</li>`,
    )}</ul>`;
}
