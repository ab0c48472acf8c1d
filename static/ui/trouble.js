/** What nobody foresaw: said once, at the top, and never swallowed. */
import { html, render } from "lit-html";
import { findingBlock } from "./findings.js";

/** Show every error that no page has dealt with. */
export function watchForTrouble() {
  addEventListener("error", ({ message }) => showTrouble(message));
  addEventListener("unhandledrejection", (event) => {
    const { reason } = event;
    // Work that was under way when the phone was locked ends so; the page asks who is working.
    if (reason?.name === "Locked") event.preventDefault();
    else showTrouble(String(reason?.message ?? reason));
  });
}

/**
 * Show one fault of the app itself.
 *
 * @param {string} message
 */
export function showTrouble(message) {
  const place = document.getElementById("trouble");
  if (!place) return;
  const block = findingBlock({
    level: "caution",
    title: "Something in this app went wrong",
    text: `${message}. What was kept is safe; what you are typing is kept as a draft.`,
    do: "Load the page again. If it comes back, tell the base desk these words.",
  });
  render(html`<div class="page-trouble" role="alert">${block}</div>`, place);
}
