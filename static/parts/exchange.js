/** The part of the app for a lens that may have to be exchanged: which pages it has. */
import * as exchange from "../steps/exchange.js";
import * as ask from "../steps/exchange_ask.js";

/** @type {import("../parts.js").Part["ROUTES"]} */
export const ROUTES = [
  [/^#\/exchange\/([^/]+)\/([RL])$/, exchange],
  [/^#\/exchange\/([^/]+)\/([RL])\/ask$/, ask],
];
