/** The few drawn marks. Each goes with a word; none of them means anything by colour. */
import { html, svg } from "lit-html";

/** @import { TemplateResult } from "lit-html" */

/** Shapes by name, on a field of 24 by 24; `currentColor` throughout. */
const SHAPES = {
  back: svg`<path d="M15 3 6 12l9 9" class="stroke" />`,
  lamp: svg`<path d="M12 3v18" class="stroke thick" /><path
    d="M7 7a6.5 6.5 0 0 0 0 10M17 7a6.5 6.5 0 0 1 0 10" class="stroke" />`,
  plus: svg`<path d="M12 4v16M4 12h16" class="stroke thick" />`,
  find: svg`<circle cx="10.5" cy="10.5" r="6" class="stroke" /><path d="m15 15 6 6"
    class="stroke" />`,
  stop: svg`<path d="M7.5 1.5h9l6 6v9l-6 6h-9l-6-6v-9z" class="solid" /><path d="M6 12h12"
    class="stroke mark-bar" />`,
  caution: svg`<path d="M12 2.5 23 21.5H1z" class="stroke" /><path d="M12 9v6.2"
    class="stroke" /><circle cx="12" cy="18.3" r="1.5" class="solid" />`,
  note: svg`<circle cx="12" cy="12" r="7.5" class="stroke" /><circle cx="12" cy="12" r="1.8"
    class="solid" />`,
  tick: svg`<path d="m4 12.5 5 5L20 6.5" class="stroke thick" />`,
  wait: svg`<path d="M6 3h12M6 21h12M7.5 3c0 6 9 12 9 18M16.5 3c0 6-9 12-9 18" class="stroke" />`,
  question: svg`<path d="M12 2.5 23 21.5H1z" class="stroke" /><path d="M12 9v6.2"
    class="stroke" /><circle cx="12" cy="18.3" r="1.5" class="solid" />`,
  stale: svg`<path d="M10 2.5a9.5 9.5 0 0 0 0 17z" class="solid" /><path
    d="M14 5a9.5 9.5 0 0 1 0 17z" class="stroke" />`,
  changed: svg`<path d="M12 3v10M12 17v4" class="stroke thick" /><path d="M4 12h4M16 12h4"
    class="stroke" />`,
  erase: svg`<path d="M9 6h12v12H9l-6-6zM12.5 9.5l5 5M17.5 9.5l-5 5" class="stroke" />`,
  people: svg`<path d="M3 6h18M3 12h18M3 18h12" class="stroke" />`,
  queue: svg`<path d="M4 5h16v5H4zM4 14h16v5H4z" class="stroke" />`,
  theatre: svg`<path d="M12 2v3M5 12a7 7 0 0 1 14 0zM8 16l-2 5M12 16v5M16 16l2 5" class="stroke" />`,
  outbox: svg`<path d="M12 15V3M7.5 7 12 3l4.5 4M4 13v8h16v-8" class="stroke" />`,
  me: svg`<circle cx="12" cy="8" r="4.5" class="stroke" /><path
    d="M3.5 21c1-5 4.5-7 8.5-7s7.5 2 8.5 7" class="stroke" />`,
  out: svg`<path d="M3 12h12M10 7l5 5-5 5M15 3h6v18h-6" class="stroke" />`,
};

/**
 * Return a mark; it is hidden from screen readers, since the word beside it says the same.
 *
 * @param {keyof typeof SHAPES} name
 * @returns {TemplateResult}
 */
export function icon(name) {
  return html`<svg class="icon" viewBox="0 0 24 24"
    aria-hidden="true" focusable="false">${SHAPES[name]}</svg>`;
}
