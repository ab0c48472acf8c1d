/**
 * An eye by word, letter and place: the right eye at the viewer's left edge, on every screen.
 *
 * @typedef {"R" | "L"} Eye
 * @import { TemplateResult } from "lit-html"
 */
import { html, nothing } from "lit-html";

/** @type {readonly Eye[]} */
export const EYES = ["R", "L"];

const WORDS = { R: "Right eye", L: "Left eye" };
const LETTERS = { R: "OD", L: "OS" };
const SIDES = { R: "right", L: "left" };

/** @param {Eye} eye */
export const eyeWord = (eye) => WORDS[eye];
/** @param {Eye} eye */
export const eyeLetters = (eye) => LETTERS[eye];
/** The class that places things at an eye's side. @param {Eye} eye */
export const eyeSide = (eye) => SIDES[eye];
/** The name a screen reader hears before any value. @param {Eye} eye */
export const eyeName = (eye) => `${WORDS[eye]}, ${LETTERS[eye]}`;
/** @param {Eye} eye @returns {Eye} */
export const otherEye = (eye) => (eye === "R" ? "L" : "R");

/**
 * Return the eye named in an address, or null if it names none.
 *
 * @param {string | undefined} text
 * @returns {Eye | null}
 */
export function eyeFrom(text) {
  return text === "R" || text === "L" ? text : null;
}

/**
 * Return the eye named in an address whose form has a place for one: no eye is taken for another.
 *
 * @param {string | undefined} text
 * @returns {Eye}
 */
export function eyeOf(text) {
  const eye = eyeFrom(text);
  if (!eye) throw new Error("this address names no eye");
  return eye;
}

/**
 * Return the half-disc mark. Without a word beside it, give `alone` so that it has a name.
 *
 * @param {Eye} eye
 * @param {{ big?: boolean, alone?: boolean }} [how]
 * @returns {TemplateResult}
 */
export function eyeMark(eye, { big = false, alone = false } = {}) {
  const classes = `eye-mark ${SIDES[eye]}${big ? " big" : ""}`;
  if (alone) return html`<span class=${classes} role="img" aria-label=${WORDS[eye]}></span>`;
  return html`<span class=${classes} aria-hidden="true"></span>`;
}

/**
 * Return the band that says which eye a screen is about, and the one way across to the other.
 *
 * @param {{ eye: Eye, note?: unknown, otherHref?: string | null }} band
 * @returns {TemplateResult}
 */
export function eyeBand({ eye, note = nothing, otherHref = null }) {
  const other = otherEye(eye);
  const across = html`<a class="other" href=${otherHref ?? "#"}
    aria-label="Go to the ${SIDES[other]} eye"
    ><span aria-hidden="true">${other}</span></a>`;
  return html`<section aria-label="Eye"><div class="eye-band ${SIDES[eye]}" role="group"
    aria-label=${eyeName(eye)}>
    <div class="half" aria-hidden="true">${eye}</div>
    <div class="words">
      <div class="who">${WORDS[eye]} <span class="letters">${LETTERS[eye]}</span></div>
      ${note === nothing ? nothing : html`<div class="note">${note}</div>`}
    </div>
    ${otherHref ? across : nothing}
  </div></section>`;
}

/**
 * Return one eye's heading in a row of both.
 *
 * @param {Eye} eye
 * @param {unknown} note
 * @returns {TemplateResult}
 */
export function eyeTitle(eye, note) {
  return html`<div class="eye-title ${SIDES[eye]}">
    ${eyeMark(eye, { big: true })}
    <div>
      <h2>${WORDS[eye]}</h2>
      <div class="t-micro soft">${LETTERS[eye]} · ${note}</div>
    </div>
  </div>`;
}
