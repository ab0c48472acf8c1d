/**
 * The list of the day in theatre.
 *
 * @import { Place } from "../main.js"
 */
import { html } from "lit-html";
import { pageHead } from "../ui/page.js";
import { emptyLine } from "../ui/waiting.js";
import { openPage, strips, tabs } from "./frame.js";

/** @param {Place} place */
export function start({ root, identity }) {
  const page = openPage(
    root,
    () => html`${pageHead({ title: "Theatre" })} ${strips()}
      <main>${emptyLine("Nothing is on the list of the day that this device knows of.")}</main>
      ${tabs("#/theatre", identity)}`,
  );
  return page.stop;
}
