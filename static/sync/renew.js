/**
 * Giving a person's key up for a new one, with the network: the base is told of the new key, the
 * phone signs with it, what the old one signed is sent, and the old one is closed.
 *
 * Stopped anywhere, the same call goes on where it was. Until the base has closed it, the old key's
 * records are taken as ever.
 */
import { enrolmentOf } from "../store/enrolments.js";
import { currentIdentity } from "../store/identity.js";
import { dropNextKey, forgetGivenUp, givenUpKey, nextKey, takeNextKey } from "../store/renewal.js";
import { Locked } from "../store/vault.js";
import { requireSamePerson, syncInTurn } from "./client.js";
import { deviceLabel, nameKeyToBase } from "./enrol.js";
import { postJson, RefusedError } from "./http.js";

/**
 * Make a new key and close the old one; or only close it, where the new one is in use already.
 *
 * @param {string} passphrase
 * @throws {Error} whose message says what to do; nothing was lost
 */
export async function renewKey(passphrase) {
  const identity = await currentIdentity();
  if (!identity) throw new Locked();
  const { id } = identity.user;
  await requireSamePerson(identity);
  if (!(await givenUpKey(id))) await changeOver(id, passphrase);
  await closeGivenUp(id, passphrase);
}

/**
 * @param {string} userId
 * @param {string} passphrase
 */
async function changeOver(userId, passphrase) {
  const { kid, spki } = await nextKey(userId, passphrase);
  try {
    await nameKeyToBase({ kid, spki, label: deviceLabel() }, passphrase);
  } catch (error) {
    // An earlier try named it, and somebody revoked or closed it since.
    if (error instanceof RefusedError && error.code === "device.taken") await dropNextKey(userId);
    throw error;
  }
  await takeNextKey(userId, passphrase);
}

/**
 * @param {string} userId
 * @param {string} passphrase
 */
async function closeGivenUp(userId, passphrase) {
  await syncInTurn();
  const old = await givenUpKey(userId);
  const successor = (await enrolmentOf(userId))?.kid;
  if (!old) return;
  try {
    await postJson("/auth/key/renewed", { ...old, successor, passphrase });
  } catch (error) {
    // The answer to an earlier try was lost, or an administrator ended it.
    if (!(error instanceof RefusedError && error.code === "device.ended")) throw error;
  }
  await forgetGivenUp(userId);
}
