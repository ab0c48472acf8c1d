/**
 * A sheet over the page: the browser's own dialog, so the focus stays in and comes back after.
 *
 * @import { TemplateResult } from "lit-html"
 */
import { html, nothing } from "lit-html";
import { ref } from "lit-html/directives/ref.js";

/**
 * Return a sheet that is open for as long as it is drawn.
 *
 * @param {{ label: string, body: unknown, onClose: () => void, role?: string }} sheet
 *   `onClose` is called by Escape and by the browser's own back gesture
 * @returns {TemplateResult}
 */
export function sheet({ label, body, onClose, role }) {
  return html`<dialog class="sheet" aria-label=${label} role=${role ?? nothing} ${ref(open)}
    @cancel=${(/** @type {Event} */ event) => {
      event.preventDefault();
      onClose();
    }}><div class="inside stack">${body}</div></dialog>`;
}

/** @type {HTMLElement | null} what had the focus before the sheet came */
let before = null;

/** @param {Element | undefined} element */
function open(element) {
  if (!element) {
    const back = before;
    before = null;
    // Nothing outside can take the focus until the sheet has left the document.
    queueMicrotask(() => back?.isConnected && back.focus());
    return;
  }
  const dialog = /** @type {HTMLDialogElement} */ (element);
  // The element is in the document only after this drawing has ended.
  queueMicrotask(() => {
    if (!dialog.isConnected || dialog.open) return;
    before = /** @type {HTMLElement | null} */ (document.activeElement);
    dialog.showModal();
  });
}
