/**
 * One quantity of both eyes about the centre line; each half is one way to its reading.
 *
 * @import { Eye } from "../ui/eyes.js"
 */
import { html, nothing } from "lit-html";
import { eyeName, eyeSide, EYES } from "../ui/eyes.js";
import { icon } from "../ui/icons.js";
import { isFurther, isOptional, quantityLabel, slugOf } from "../ui/quantities.js";
import { readingShown, valueWithUnit } from "../ui/readings.js";
import { slits } from "../ui/slits.js";
import { tag } from "../ui/states.js";
import { draftKey } from "./capture_model.js";

const BEGUN = html`<span class="meta">${tag("caution", "caution", "Typed, not kept")}</span>`;

/**
 * @param {string} id the person
 * @param {string} kind
 * @param {Record<Eye, any>} eyes
 * @param {Set<string>} begun drafts that are typed and not kept
 */
export function quantityPair(id, kind, eyes, begun) {
  // The further ones stand together under a heading that says it once.
  const ifYouCan = isOptional(kind) && !isFurther(kind) ? ", if you can" : "";
  return html`<div class="caption">${quantityLabel(kind)}${ifYouCan}</div>
    ${EYES.map((eye) => cell(id, kind, eye, eyes[eye], begun))}`;
}

/**
 * @param {string} id
 * @param {string} kind
 * @param {Eye} eye
 * @param {any} fold
 * @param {Set<string>} begun
 */
function cell(id, kind, eye, fold, begun) {
  const group = fold.readings.find((/** @type {any} */ reading) => reading.kind === kind);
  return html`<a class="cell ${eyeSide(eye)}" href="#/capture/${id}/${eye}/${slugOf(kind)}">
    <span class="visually-hidden">${eyeName(eye)}, ${quantityLabel(kind).toLowerCase()}: </span>
    ${group ? taken(kind, group, fold) : slot(kind, fold)}
    ${begun.has(draftKey(id, eye, kind)) ? BEGUN : nothing}
  </a>`;
}

/**
 * @param {string} kind
 * @param {any} fold
 */
function slot(kind, fold) {
  const unread = fold.unread.find((/** @type {any} */ entry) => entry.kind === kind);
  return html`<span class="slot">${icon("plus")}Measure</span>
    ${unread ? html`<span class="meta">could not be read: ${unread.text}</span>` : nothing}`;
}

/**
 * A first reading that is to be repeated is not shown: the second one must be blind.
 *
 * @param {string} kind
 * @param {any} group
 * @param {any} fold
 */
function taken(kind, group, fold) {
  const count = group.entries.length;
  const isWanted = fold.wanted.some((/** @type {any} */ need) => need.kind === kind);
  const marks = slits(count, isWanted ? 1 : 0, withdrawnOf(kind, fold));
  if (count === 1 && isWanted) {
    return html`<span class="slot">Read again</span><span
      class="meta">${marks}first one hidden</span>`;
  }
  const { body } = group.entries[count - 1];
  const row = readingShown(kind, body);
  return html`${valueWithUnit(row)}<span class="meta">${marks}${noteOf(group, row.note)}</span>`;
}

/**
 * @param {any} group
 * @param {string} note
 */
function noteOf({ apart, spread_text }, note) {
  // The slits beside it count the readings already.
  const spread = spread_text
    ?.replace(/^[0-9]+ readings, /, "")
    .replace("in agreement", "agree");
  if (apart) return tag("caution", "caution", spread ?? "apart");
  return [spread, note].filter(Boolean).join(", ");
}

/**
 * @param {string} kind
 * @param {any} fold
 */
function withdrawnOf(kind, fold) {
  return fold.withdrawn.filter((/** @type {any} */ entry) => entry.kind === kind).length;
}
