/** The part of the app for the theatre: which pages it has. A surgery is recorded where lenses are checked. */
import * as backup from "../steps/backup.js";
import * as surgery from "../steps/surgery.js";
import * as theatre from "../steps/theatre.js";
import * as check from "../steps/theatre_eye.js";

/** @type {import("../parts.js").Part["ROUTES"]} */
export const ROUTES = [
  [/^#\/surgery\/([^/]+)\/([RL])$/, surgery],
  [/^#\/theatre$/, theatre],
  [/^#\/theatre\/([^/]+)\/([RL])$/, check],
  [/^#\/theatre\/([^/]+)\/([RL])\/backup$/, backup],
];
