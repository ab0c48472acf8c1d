/**
 * Asking the base hospital's server, and believing an answer only when it looks like one.
 *
 * A café's or hotel's sign-in page answers any address with "200 OK": an answer of the wrong type
 * or shape counts as no network, never as data.
 *
 *   SyncError
 *   +- OfflineError     no answer, or not from our server; everything waits
 *   |  +- PortalError   something else answered in its place
 *   +- SignInNeeded     the session is over; everything waits
 *   +- RefusedError     the server says no, and why
 */

import { packed } from "./packing.js";

/** Long enough for a hundred records over a poor link, short enough to notice a dead one. */
const TIMEOUT_MS = 30_000;

/** Anything that kept the server from doing what was asked. */
export class SyncError extends Error {
  name = "SyncError";
}

/** The network or the server could not be reached; nothing is lost. */
export class OfflineError extends SyncError {
  name = "OfflineError";
}

/** Something that is not our server answered. */
export class PortalError extends OfflineError {
  name = "PortalError";
}

/** The server does not know who is asking any more. */
export class SignInNeeded extends SyncError {
  name = "SignInNeeded";
}

/** The server understood and refused. */
export class RefusedError extends SyncError {
  name = "RefusedError";

  /**
   * @param {string} message
   * @param {string} code
   * @param {number} status
   */
  constructor(message, code, status) {
    super(message);
    this.code = code;
    this.status = status;
  }
}

const NO_ANSWER = "The base could not be reached. What you saved waits on this phone.";
const PORTAL =
  "Something other than the base hospital answered, perhaps this network's own sign-in page. " +
  "Open the network's page in a browser tab, then try again.";
const TOO_LARGE = "The way to the base does not let a record of this size through. Tell the desk.";
const SIGN_IN = "Sign in again to send and receive. Nothing on this phone was lost.";

/**
 * Read JSON.
 *
 * @param {string} path
 * @param {number} [timeoutMs]
 * @returns {Promise<any>}
 */
export function getJson(path, timeoutMs = TIMEOUT_MS) {
  return ask(path, { method: "GET" }, timeoutMs);
}

/**
 * Send JSON, with a form token fetched just before, since a phone may have been away for days.
 *
 * @param {string} path
 * @param {object} body
 * @param {number} [timeoutMs]
 * @returns {Promise<any>}
 */
export function postJson(path, body, timeoutMs = TIMEOUT_MS) {
  return send(path, { body: JSON.stringify(body), headers: {} }, timeoutMs);
}

/**
 * Send JSON compressed where the browser can, for what is large.
 *
 * @param {string} path one that takes gzip
 * @param {object} body
 * @returns {Promise<any>}
 */
export async function postPacked(path, body) {
  return send(path, await packed(JSON.stringify(body)), TIMEOUT_MS);
}

/**
 * @param {string} path
 * @param {{ body: BodyInit, headers: Record<string, string> }} content
 * @param {number} timeoutMs
 */
async function send(path, { body, headers }, timeoutMs) {
  const { csrf } = requireShape(await getJson("/auth/token", timeoutMs), { csrf: "string" });
  const all = { "Content-Type": "application/json", "X-CSRFToken": csrf, ...headers };
  return ask(path, { method: "POST", body, headers: all }, timeoutMs);
}

/**
 * Return `answer` if each named field has the type given ("array" included).
 *
 * @param {any} answer
 * @param {Record<string, string>} shape
 * @returns {any}
 * @throws {PortalError} it does not look like our server's answer
 */
export function requireShape(answer, shape) {
  for (const [field, type] of Object.entries(shape)) {
    if (typeOf(answer?.[field]) !== type) throw new PortalError(PORTAL);
  }
  return answer;
}

/**
 * @param {string} path
 * @param {RequestInit} request
 * @param {number} timeoutMs
 */
async function ask(path, request, timeoutMs) {
  const response = await reach(path, request, timeoutMs);
  const type = response.headers.get("Content-Type") ?? "";
  const isOurs = type.startsWith("application/json") || type.startsWith("application/problem+json");
  if (!isOurs) throw notOurs(response.status);
  const answer = await bodyOf(response);
  if (response.status === 401) throw new SignInNeeded(answer.detail ?? SIGN_IN);
  // The form token was fetched a moment ago: if it does not fit, the session has gone.
  if (answer.code === "csrf") throw new SignInNeeded(SIGN_IN);
  if (!response.ok) throw refusal(answer, response.status);
  return answer;
}

/**
 * @param {string} path
 * @param {RequestInit} request
 * @param {number} timeoutMs
 */
async function reach(path, request, timeoutMs) {
  const rules = { cache: "no-store", credentials: "same-origin", redirect: "error" };
  const signal = AbortSignal.timeout(timeoutMs);
  try {
    return await fetch(path, /** @type {RequestInit} */ ({ ...rules, ...request, signal }));
  } catch (error) {
    throw new OfflineError(NO_ANSWER, { cause: error });
  }
}

/** @param {Response} response */
async function bodyOf(response) {
  try {
    return await response.json();
  } catch (error) {
    throw new OfflineError(NO_ANSWER, { cause: error });
  }
}

/** @param {number} status */
function notOurs(status) {
  // A proxy in front may take less at once than the base does.
  if (status === 413) return new RefusedError(TOO_LARGE, "too_large", status);
  // A proxy in front of a stopped server answers 502-504 with a page of its own.
  return status >= 500 ? new OfflineError(NO_ANSWER) : new PortalError(PORTAL);
}

/**
 * @param {{ detail?: string, title?: string, code?: string }} problem
 * @param {number} status
 */
function refusal(problem, status) {
  // A base that has no room says so; any other fault of it is nothing that a phone can tell of.
  if (status >= 500 && problem.code !== "storage.full") return new OfflineError(NO_ANSWER);
  const said = problem.detail ?? problem.title ?? "The base refused without giving a reason.";
  return new RefusedError(said, problem.code ?? "refused", status);
}

/** @param {unknown} value */
function typeOf(value) {
  return Array.isArray(value) ? "array" : typeof value;
}
