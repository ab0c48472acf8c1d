/**
 * The frame of every page: head, person line, strip about the network, dock, tabs, footer.
 *
 * @import { TemplateResult } from "lit-html"
 * @typedef {{ name: string, birth_date?: string | null, birth_year?: number | null, camp_code: string }} PersonBody
 */
import { html, nothing } from "lit-html";
import { icon } from "./icons.js";
import { age } from "./moments.js";
import { lampSwitch } from "./theme.js";

/**
 * Return the top line of a page. A page with `back` shows where back leads; others a heading.
 *
 * The heading ends with the name of the person it is about. The browser's own title does not: it
 * goes into the browser's history, which nobody encrypts.
 *
 * @param {{ title: string, name?: string | null, back?: { href: string, label: string } | null, aside?: unknown }} head
 * @returns {TemplateResult}
 */
export function pageHead({ title, name = null, back = null, aside = nothing }) {
  nameThePage(title || "Person");
  const heading = [title, name].filter(Boolean).join(", ");
  const backLink = () => html`<div class="grow">
      <a class="back" href=${back?.href ?? "#"}
        aria-label="Back to ${back?.label}">${icon("back")}<span>${back?.label}</span></a>
    </div>
    <h1 class="visually-hidden" tabindex="-1">${heading}</h1>`;
  return html`<header class="page-head">
    ${back ? backLink() : html`<h1 tabindex="-1">${heading}</h1>`}
    ${aside === nothing ? nothing : html`<span class="t-small soft">${aside}</span>`}
      ${lampSwitch()}
  </header>`;
}

/** @param {string} title */
export function nameThePage(title) {
  document.title = `${title} · Lampside`;
}

/**
 * Return a person's name with the second identifiers: age, birth, camp code.
 *
 * @param {PersonBody} person
 * @returns {TemplateResult}
 */
export function personLine(person) {
  return html`<section class="person-line" aria-label="Person">
    <span class="t-head">${person.name}</span>
    <span class="t-small soft">${identifiers(person)}</span>
  </section>`;
}

/**
 * Return a person's second identifiers: "27 · born 1999 · SP-0417". A code is never torn in two.
 *
 * @param {PersonBody} person
 * @returns {TemplateResult}
 */
export function identifiers(person) {
  const born = person.birth_date?.slice(0, 4) ?? person.birth_year;
  return html`${age(person)} · ${born ? `born ${born} · ` : nothing}<span class="nowrap">${person.camp_code}</span>`;
}

/**
 * Return the tabs at the foot of a page.
 *
 * @param {string} current address of the page shown
 * @param {{ href: string, label: string, icon: "people" | "queue" | "theatre" | "outbox" | "me" }[]} tabs
 * @returns {TemplateResult}
 */
export function tabBar(current, tabs) {
  return html`<nav class="tabs" aria-label="Pages">
    <ul>
      ${tabs.map(
        (tab) => html`<li>
          <a href=${tab.href} aria-current=${tab.href === current ? "page" : nothing}>${icon(tab.icon)}<span>${tab.label}</span></a>
        </li>`,
      )}
    </ul>
  </nav>`;
}

/**
 * Return the footer of a page that can lead to an order: what calculated it, and the caution.
 *
 * @param {{ core: string, catalogueTitle: string, limitsTitle: string, isDemo: boolean }} facts
 * @returns {TemplateResult}
 */
export function boundFooter({ core, catalogueTitle, limitsTitle, isDemo }) {
  const demo = isDemo ? " Demo lens models are not for patients." : "";
  return html`<footer class="bound">
    Calculation core <code>${core}</code>; limits: ${limitsTitle}; catalogue:
      ${catalogueTitle}.${demo}
    This supports a licensed surgeon’s decision and replaces none. The lens maker’s instructions,
    local rules and hospital policy come first.
  </footer>`;
}

/**
 * Return a section's heading with something small at its right.
 *
 * @param {string} heading
 * @param {unknown} [aside]
 * @returns {TemplateResult}
 */
export function sectionHead(heading, aside = nothing) {
  return html`<div class="section-head">
    <h2>${heading}</h2>
    ${aside === nothing ? nothing : html`<span class="t-micro soft">${aside}</span>`}
  </div>`;
}
