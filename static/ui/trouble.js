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
    else if (reason?.name === "DraftNotKept") showUnkeptDraft(reason.message);
    else if (reason?.name === "VersionError") showTakenOver();
    else showTrouble(String(reason?.message ?? reason));
  });
}

/**
 * Show one fault of the app itself.
 *
 * @param {string} message
 */
export function showTrouble(message) {
  showOnTop({
    title: "Something in this app went wrong",
    text: `${message}. What was kept is safe; what you are typing is kept as a draft.`,
    do: "Load the page again. If it comes back, tell the base desk these words.",
  });
}

/**
 * Say that a page must not be left now: what is typed there could not be kept.
 *
 * @param {string} message
 */
function showUnkeptDraft(message) {
  showOnTop({
    title: "What you type is not being kept",
    text: `${message} What was saved before is safe.`,
    do: "Stay on this page. Free some space (photos, other apps), then type on or save; if that does not help, write the values on paper.",
  });
}

/** A newer app, in another tab, has changed the database: this one reads and writes no more. */
function showTakenOver() {
  showOnTop({
    title: "Nothing is being saved on this page",
    text:
      "A newer version of Lampside uses this phone’s storage now. What you are typing is on this page " +
      "and nowhere else; what was saved before is safe.",
    do: "Write down what is not saved, then load the page again.",
  });
}

/** @param {{ title: string, text: string, do: string }} what */
function showOnTop(what) {
  const place = document.getElementById("trouble");
  if (!place) return;
  const block = findingBlock({ level: "caution", ...what });
  render(html`<div class="page-trouble" role="alert">${block}</div>`, place);
}
