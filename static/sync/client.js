/**
 * The exchange with the base: when to try, in what order, and what to say when it did not work.
 *
 * One tab exchanges at a time. Nothing is lost by any failure: what was not acknowledged waits.
 *
 * @import { Identity } from "../store/identity.js"
 *
 * @typedef {object} SyncReport
 * @property {"done" | "offline" | "portal" | "needs-sign-in" | "busy" | "no-one" | "trouble"} ended
 * @property {number} sent
 * @property {number} received
 * @property {number} refused
 * @property {string | null} message
 */
import { announce, onChange } from "../store/changes.js";
import { changeEnrolment } from "../store/enrolments.js";
import { clinicalSites, currentIdentity } from "../store/identity.js";
import { withLock, withLockIfFree } from "../store/locks.js";
import { noteEpoch } from "../store/pages.js";
import { giveUpAgain } from "../store/renewal.js";
import { Locked } from "../store/vault.js";
import { getJson, OfflineError, PortalError, requireShape, SignInNeeded } from "./http.js";
import { pull } from "./pull.js";
import { push } from "./push.js";
import { makeRetry } from "./retry.js";
import { hearStanding, recallStanding } from "./standing.js";
import { tidy } from "./tidy.js";
import { noteHeard, recall, recount, setStatus, syncStatus } from "./status.js";

export { onSyncStatus, syncStatus } from "./status.js";

const NOTHING = { sent: 0, received: 0, refused: 0, message: null };
const OTHER_PERSON =
  "The base knows another person in this browser. Sign in again to send and receive.";
const STATUS_SHAPE = { server_time: "string", core: "string", devices: "array", checks: "array" };

const retry = makeRetry(() => void syncNow());

/** Exchange now, and from now on whenever it may help. */
export function startSync() {
  globalThis.addEventListener("online", () => {
    setStatus({ online: true });
    retry.soon();
  });
  globalThis.addEventListener("offline", () => setStatus({ online: false }));
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") retry.soon();
  });
  onChange(({ why, fromOtherTab }) => {
    void (why === "identity" ? recall() : recount());
    if (why === "identity") void recallStanding();
    if (!fromOtherTab && (why === "record" || why === "identity")) retry.soon();
  });
  void recall().then(recallStanding).then(retry.soon);
}

/** Plan no further exchange until something asks for one. */
export function stopSync() {
  retry.stop();
}

/**
 * Send and fetch everything once.
 *
 * @returns {Promise<SyncReport>}
 */
export async function syncNow() {
  const report = await withLockIfFree("sync", exchangeAndTell);
  if (report) return report;
  // Whoever exchanges now may have looked at the outbox before the newest record was in it.
  retry.later();
  return { ...NOTHING, ended: "busy" };
}

/**
 * Send and fetch everything once because a person asked: after an exchange that is going on, which
 * may have begun before what the person wants sent was kept.
 *
 * @returns {Promise<SyncReport>}
 */
export function syncInTurn() {
  return withLock("sync", exchangeAndTell);
}

/**
 * Return the base's own calculation of a plan request or approval beside ours, or null.
 *
 * @param {string} id
 */
export function checkOf(id) {
  return syncStatus().checks.find((check) => check.id === id) ?? null;
}

/** @returns {Promise<SyncReport>} */
async function exchangeAndTell() {
  setStatus({ syncing: true });
  const report = await exchangeOnce();
  const needsSignIn = report.ended === "needs-sign-in";
  // A browser calls itself online in any network, also in one that leads nowhere.
  const online = report.ended !== "offline" && report.ended !== "portal";
  setStatus({ syncing: false, online, needsSignIn, message: report.message });
  await recount();
  if (report.ended === "done") retry.worked();
  else if (needsSignIn || report.ended === "no-one") retry.stop();
  else retry.later();
  return report;
}

/** @returns {Promise<SyncReport>} */
async function exchangeOnce() {
  try {
    const identity = await currentIdentity();
    if (!identity) return { ...NOTHING, ended: "no-one" };
    await hearStanding(identity);
    const sites = clinicalSites(await withRolesOfToday(identity));
    const now = await hearStatus();
    await giveUpAgain(identity.user.id, syncStatus().devices);
    const pushed = await push(sites);
    const received = await pull(sites);
    // A restart found while fetching has put everything back in the outbox.
    const again = await push(sites);
    if (pushed.sent + again.sent + received > 0) await hearStatus();
    await tidy(sites, now);
    const [sent, refused] = [pushed.sent + again.sent, pushed.refused + again.refused];
    return { ended: "done", sent, refused, received, message: null };
  } catch (error) {
    return failure(/** @type {Error} */ (error));
  }
}

/**
 * Return what the base says of the person who works here.
 *
 * @param {Identity} identity
 * @returns {Promise<Pick<Identity, "user" | "sites">>}
 * @throws {SignInNeeded} it knows another person in this browser, or nobody
 */
export async function requireSamePerson(identity) {
  const { user, sites } = requireShape(await getJson("/auth/me"), { user: "object", sites: "array" });
  if (user.id !== identity.user.id) throw new SignInNeeded(OTHER_PERSON);
  return { user, sites };
}

/**
 * Return the identity with the roles the base gives it now, once the base has said who it knows.
 *
 * @param {Identity} identity
 * @returns {Promise<Identity>}
 */
async function withRolesOfToday(identity) {
  const { user, sites } = await requireSamePerson(identity);
  const isSame = JSON.stringify([user, sites]) === JSON.stringify([identity.user, identity.sites]);
  if (!isSame) {
    await changeEnrolment(user.id, () => ({ user, sites }));
    announce({ why: "identity", persons: [] });
  }
  return { ...identity, user, sites };
}

/** @returns {Promise<string>} the base's time */
async function hearStatus() {
  const askedMs = Date.now();
  const answer = requireShape(await getJson(statusAt(askedMs)), STATUS_SHAPE);
  await noteEpoch(String(answer.epoch));
  await noteHeard(answer, askedMs);
  return answer.server_time;
}

/**
 * Say what this phone's clock is: the desk then sees which one is off.
 *
 * @param {number} nowMs
 */
const statusAt = (nowMs) => `/sync/status?wall=${new Date(nowMs).toISOString()}`;

/**
 * @param {Error} error
 * @returns {SyncReport}
 */
function failure(error) {
  if (error instanceof Locked) return { ...NOTHING, ended: "no-one" };
  const report = { ...NOTHING, message: error.message };
  if (error instanceof SignInNeeded) return { ...report, ended: "needs-sign-in" };
  if (error instanceof PortalError) return { ...report, ended: "portal" };
  if (error instanceof OfflineError) return { ...report, ended: "offline" };
  const message = `The exchange with the base stopped: ${error.message} What you saved is safe.`;
  return { ...report, ended: "trouble", message };
}
