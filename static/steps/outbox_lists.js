/**
 * The lists of the outbox: what waits, what arrived today, what was withdrawn, what is not readable.
 *
 * @import { Model, Row } from "./outbox.js"
 */
import { html, nothing } from "lit-html";
import { kindNamed } from "../records/kinds.js";
import { clinicalSites } from "../store/identity.js";
import { REFERENCE_SITE } from "../store/pages.js";
import { eyeFrom, eyeMark, eyeWord } from "../ui/eyes.js";
import { moment } from "../ui/moments.js";
import { sectionHead } from "../ui/page.js";
import { tag } from "../ui/states.js";
import { siteTitle } from "./frame.js";
import { madeAt, recordWords } from "./outbox_refused.js";

/**
 * Say why nothing is sent from a camp where the base no longer lists this person.
 *
 * @param {Model} model
 */
export function notYours({ waiting: rows, identity }) {
  const own = [...clinicalSites(identity), REFERENCE_SITE];
  const sites = [...new Set(rows.map(({ site }) => site))].filter((site) => !own.includes(site));
  return sites.map((site) => html`<p class="notice">The base does not list you as working at
    ${siteTitle(identity, site)} now. What was kept there, and what was kept after it, stays on this
    phone until it does. Ask the administrator.</p>`);
}

/**
 * Return what waits, under the people it is about, and since when.
 *
 * @param {Row[]} list
 */
export function waitingView(list) {
  const oldest = list.flatMap(({ wall }) => wall ?? []).sort()[0] ?? null;
  const mark = (/** @type {number} */ length) => tag("state", "wait", `Waiting, ${length}`);
  return html`${sectionHead(`Waiting, ${list.length}`, `oldest since ${madeAt(oldest)}`)}
    ${byPerson(list, mark)}`;
}

/**
 * Say which records of the base this phone could not read: what it shows may lack them.
 *
 * @param {Model} model
 */
export function asideView({ aside, identity }) {
  if (aside.length === 0) return nothing;
  return html`${sectionHead(`Not readable here, ${aside.length}`, "the base has them")}
    <p class="notice">Readings or decisions may be among them that this phone does not show and no
      plan here uses. Close the app and open it again to load the newest; if they stay, tell the base
      desk these numbers.</p>
    <ul class="rows">${aside.map(({ site, n, why }) => html`<li class="row t-small">
      ${siteTitle(identity, site)}, number ${n}: ${why}</li>`)}</ul>`;
}

/**
 * Return what the base acknowledged today.
 *
 * @param {Row[]} list
 */
export function arrivedView(list) {
  if (list.length === 0) return nothing;
  const mark = () => tag("state", "tick", "At the base");
  return html`${sectionHead(`Arrived today, ${list.length}`)} ${byPerson(list, mark)}`;
}

/**
 * Return what was refused and then withdrawn here, with who said so and why.
 *
 * @param {Model["withdrawn"]} list
 */
export function withdrawnView(list) {
  if (list.length === 0) return nothing;
  return html`${sectionHead(`Withdrawn, ${list.length}`, "refused by the base")}
    <ul class="rows">${list.map((row) => html`<li class="row t-small">${recordWords(row)}. Withdrawn
      ${moment(row.withdrawn?.wall ?? "")} by ${row.withdrawn?.by}: ${row.withdrawn?.reason}</li>`)}</ul>`;
}

/**
 * Return the rows under their people; two people of one name stay two.
 *
 * @param {Row[]} list
 * @param {(length: number) => unknown} mark
 */
function byPerson(list, mark) {
  const people = [...new Set(list.map(({ person }) => person))];
  return html`<ul class="rows">${people.map((id) =>
    personRows(
      list.filter(({ person }) => person === id),
      mark,
    ),
  )}</ul>`;
}

/**
 * @param {Row[]} list of one person
 * @param {(length: number) => unknown} mark
 */
function personRows(list, mark) {
  return html`<li class="row">
    <div class="spread"><span class="t-head">${list[0]?.name}</span>${mark(list.length)}</div>
    <ul>${list.map(
      (row) => html`<li class="spread t-small soft">
        <span>${eyeAndTitle(row)}</span><span>${madeAt(row.wall)}</span></li>`,
    )}</ul>
  </li>`;
}

/** @param {Row} row */
function eyeAndTitle({ eye, kind }) {
  const found = eyeFrom(eye ?? undefined);
  const title = kindNamed(kind).title.toLowerCase();
  return found ? html`${eyeMark(found)} ${eyeWord(found)}, ${title}` : title;
}
