/**
 * Signing in: with the network, which enrols this phone, or by the passphrase that unlocks it.
 *
 * @import { Change, Model } from "./sign_in.js"
 */
import { VoucherNeeded } from "../store/admit.js";
import { currentIdentity, isReady, isSurgeon } from "../store/identity.js";
import { unlock } from "../store/unlock.js";
import { syncNow } from "../sync/client.js";
import { enrol } from "../sync/enrol.js";
import { go } from "./frame.js";

/**
 * Enrol the person on this phone, with the network.
 *
 * @param {Model} model
 * @param {Change} change
 */
export async function signInOnline(model, change) {
  if (!model.name.trim() || !model.passphrase) {
    return change({ error: "Type your sign-in name and your passphrase." });
  }
  if (model.voucher && !(model.voucher.userId && model.voucher.passphrase)) {
    return change({ error: "Choose who lets you in; they type their passphrase." });
  }
  leavePlace("#/sign-in/online");
  await attempt(change, "Asking the base", async () => {
    await enrol(model.name, model.passphrase, model.voucher);
    void syncNow();
    return null;
  });
}

/**
 * Unlock the phone for a person who is on it already.
 *
 * @param {Model} model
 * @param {Change} change
 */
export async function signInHere(model, change) {
  if (!model.passphrase) return change({ error: "Type your passphrase." });
  if (!model.known.some(({ id, current }) => current && id === model.chosen)) leavePlace("#/sign-in");
  await attempt(change, "Checking the passphrase", async () => {
    const answer = await unlock(model.chosen ?? "", model.passphrase);
    return answer.ok ? null : answer.why;
  });
}

/**
 * Leave the page that was asked for: it was another person's, perhaps in the middle of a case.
 *
 * @param {string} address
 */
function leavePlace(address) {
  if (!location.hash.startsWith("#/sign-in")) history.replaceState(null, "", address);
}

/**
 * @param {Change} change
 * @param {string} busy
 * @param {() => Promise<string | null>} work returns why not, or null
 */
async function attempt(change, busy, work) {
  change({ busy, error: null });
  try {
    const error = await work();
    change({ busy: null, passphrase: "", error, identity: await currentIdentity() });
    if (!error) await goOn();
  } catch (error) {
    const { message } = /** @type {Error} */ (error);
    change({ busy: null, error: message });
    if (error instanceof VoucherNeeded) change({ voucher: { userId: "", passphrase: "" } });
  }
}

/** Go to the first page of whoever works now, unless the app was closed on another of theirs. */
export async function goOn() {
  const identity = await currentIdentity();
  if (!isReady(identity) || !location.hash.startsWith("#/sign-in")) return;
  go(isSurgeon(identity) ? "#/queue" : "#/people");
}
