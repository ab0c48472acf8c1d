/**
 * Findings: a stop is the only inverted block, a caution has a triangle, a note only a ring.
 *
 * Few are shown at once: at most three cautions stand open, and findings of one cause fold
 * together, so that the one that matters is not the fifth of a list.
 *
 * @import { TemplateResult } from "lit-html"
 * @typedef {"stop" | "caution" | "note"} Level
 * @typedef {object} Finding
 * @property {string} rule
 * @property {string} code
 * @property {Level} level
 * @property {0 | 1} fixed
 * @property {string} cause
 * @property {string} title
 * @property {string} text
 * @property {string} do
 * @property {string[]} records
 * @property {boolean} [isForLater] of a plan that nobody is to make now
 */
import { html, nothing } from "lit-html";
import { icon } from "./icons.js";
import { count } from "./words.js";

/** @type {Record<Level, string>} */
const WORDS = { stop: "Stop", caution: "Caution", note: "Note" };
const ORDER = { stop: 0, caution: 1, note: 2 };
const CAUTIONS_OPEN = 3;
/** Not one cause: a closed angle and a high pressure each stand open beside the vault. */
const AFTER_SURGERY = "after_surgery";

/**
 * Return the findings, the gravest first, with what each one wants done.
 *
 * @param {Finding[]} findings
 * @param {{ under?: (finding: Finding) => unknown, unfold?: boolean, foldNotes?: boolean }} [how]
 *   `under` adds a control to a finding; `unfold` shows all at once; `foldNotes` keeps notes closed,
 *   and what is for later
 * @returns {TemplateResult | typeof nothing}
 */
export function findingList(
  findings,
  { under = () => nothing, unfold = false, foldNotes = false } = {},
) {
  if (findings.length === 0) return nothing;
  const split = foldedByCause(findings, foldNotes);
  const { open, folded } = unfold ? { open: inOrder(findings), folded: [] } : split;
  const show = (/** @type {Finding} */ finding) => findingBlock(finding, under(finding));
  return html`<div class="stack">
    ${open.map(show)}
    ${
      folded.length === 0
        ? nothing
        : html`<details class="more-findings"><summary>${moreWords(folded, open)}</summary>
          <div class="stack">${folded.map(show)}</div></details>`
    }
  </div>`;
}

/**
 * Return the worst level among findings, or null where there is none.
 *
 * @param {{ level: Level }[]} findings
 * @returns {Level | null}
 */
export function worstLevel(findings) {
  return (
    /** @type {Level[]} */ (["stop", "caution", "note"]).find((level) =>
      findings.some((finding) => finding.level === level),
    ) ?? null
  );
}

/**
 * Return a level as a small label with its word and shape.
 *
 * @param {Level} level
 * @param {unknown} [words]
 * @returns {TemplateResult}
 */
export function levelTag(level, words = WORDS[level]) {
  return html`<span class="tag ${level}">${icon(level)}${words}</span>`;
}

/**
 * Return one finding: what it is, why it matters here, what to do.
 *
 * @param {Pick<Finding, "level" | "title" | "text" | "do">} finding
 * @param {unknown} [under]
 * @returns {TemplateResult}
 */
export function findingBlock(finding, under = nothing) {
  return html`<div class="finding ${finding.level}">
    ${icon(finding.level)}
    <div class="title"><span class="level">${WORDS[finding.level]}.</span> ${finding.title}</div>
    <p>${finding.text}${finding.do ? html` <span class="strong">${finding.do}</span>` : nothing}</p>
    ${under === nothing ? nothing : html`<div>${under}</div>`}
  </div>`;
}

/** @param {Finding[]} findings */
function inOrder(findings) {
  return [...findings].sort((a, b) => ORDER[a.level] - ORDER[b.level]);
}

/**
 * Split findings into those that stand open (every stop, the first of each cause, at most three
 * cautions) and those that fold.
 *
 * @param {Finding[]} findings
 * @param {boolean} [foldNotes]
 * @returns {{ open: Finding[], folded: Finding[] }}
 */
export function foldedByCause(findings, foldNotes = false) {
  /** @type {{ open: Finding[], folded: Finding[] }} */
  const split = { open: [], folded: [] };
  const causes = new Set();
  let cautions = 0;
  for (const finding of inOrder(findings)) {
    if (foldNotes && finding.isForLater) {
      split.folded.push(finding);
      continue;
    }
    const cause = finding.cause === AFTER_SURGERY ? finding.code : finding.cause;
    const isRepeat = finding.level !== "stop" && causes.has(cause);
    const isTooMany = finding.level === "caution" && cautions >= CAUTIONS_OPEN;
    causes.add(cause);
    if (finding.level === "caution" && !isRepeat) cautions += 1;
    const isFoldedNote = foldNotes && finding.level === "note";
    split[isRepeat || isTooMany || isFoldedNote ? "folded" : "open"].push(finding);
  }
  return split;
}

/**
 * @param {Finding[]} folded
 * @param {Finding[]} open
 */
function moreWords(folded, open) {
  if (folded.every(({ level }) => level === "note")) return count(folded.length, "note");
  const isSameCause = folded.every(({ cause }) => open.some((finding) => finding.cause === cause));
  return isSameCause
    ? `${folded.length} more of the same cause`
    : count(folded.length, "more finding");
}
