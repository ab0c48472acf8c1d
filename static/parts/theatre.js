/** The part of the app for the theatre: which pages it has. */
import * as theatre from "../steps/theatre.js";

/** @type {import("../parts.js").Part["ROUTES"]} */
export const ROUTES = [[/^#\/theatre$/, theatre]];
