/**
 * Whose records were changed from outside and do not open here any more: said above every list of
 * people, since a list without them looks whole.
 *
 * @import { PersonRow } from "../store/people.js"
 */
import { nothing } from "lit-html";
import { findingBlock } from "../ui/findings.js";

/** @param {PersonRow[]} rows */
export function unreadableNotice(rows) {
  const found = rows.filter(({ unreadable }) => unreadable);
  if (found.length === 0) return nothing;
  return findingBlock({
    level: "caution",
    title: found.length === 1 ? "One person cannot be read here" : `${found.length} people cannot be read here`,
    text: `${found.map(({ name, camp_code: code }) => [name, code].filter(Boolean).join(", ")).join("; ")}. Records on this phone were changed from outside and do not open.`,
    do: "Do not decide about them on this phone. Exchange with the base; if this stays, tell the base desk.",
  });
}
