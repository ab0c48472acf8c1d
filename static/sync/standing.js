/**
 * Asking the base how this phone's key stands; answered even when the session ended with the key.
 *
 * @import { Identity } from "../store/identity.js"
 */
import { currentIdentity } from "../store/identity.js";
import { keepStanding, standingOf } from "../store/key_standing.js";
import { getJson, RefusedError, requireShape } from "./http.js";
import { setStatus } from "./status.js";

/**
 * Ask, keep the answer, and show it.
 *
 * @param {Identity} identity
 */
export async function hearStanding({ kid }) {
  const heard = await asked(kid);
  if (heard) setStatus({ standing: await keepStanding({ kid, ...heard }) });
}

/** Show what was heard when the app was last open. */
export async function recallStanding() {
  const identity = await currentIdentity();
  setStatus({ standing: identity ? await standingOf(identity.kid) : null });
}

/** @param {string} kid */
async function asked(kid) {
  try {
    const answer = requireShape(await getJson(`/auth/key?kid=${kid}`), { key: "object" });
    const { state, since } = requireShape(answer.key, { state: "string" });
    return { state, since: since ?? null };
  } catch (error) {
    // A base of an older version has no such address: what is known stays.
    if (error instanceof RefusedError) return null;
    throw error;
  }
}
