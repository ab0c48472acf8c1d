/**
 * Making a new key on page "Me": why, when it is due, and the passphrase.
 *
 * @import { Identity } from "../store/identity.js"
 * @import { Standing } from "../store/key_standing.js"
 */
import { html, nothing } from "lit-html";
import { givenUpKey } from "../store/renewal.js";
import { SignInNeeded } from "../sync/http.js";
import { renewKey } from "../sync/renew.js";
import { textField } from "../ui/form.js";
import { sectionHead } from "../ui/page.js";

/** Yearly: common practice. */
const DUE_AFTER_DAYS = 365;
const DAY_MS = 86_400_000;

/**
 * @typedef {object} Renewal
 * @property {boolean} isOpen
 * @property {boolean} isLeft the old key is given up and not closed at the base yet
 * @property {string} typed
 * @property {boolean} isBusy
 * @property {string | null} error
 * @property {boolean} needsSignIn
 *
 * @param {Identity} identity
 * @returns {Promise<Renewal>}
 */
export async function renewalOf({ user }) {
  const isLeft = (await givenUpKey(user.id)) !== null;
  return { isOpen: false, isLeft, typed: "", isBusy: false, error: null, needsSignIn: false };
}

/**
 * Say whether a key is due: confirmed more than a year ago.
 *
 * @param {Standing | null} standing
 * @param {number} [nowMs]
 */
export function isDue(standing, nowMs = Date.now()) {
  if (standing?.state !== "confirmed" || !standing.since) return false;
  return nowMs - Date.parse(standing.since) > DUE_AFTER_DAYS * DAY_MS;
}

/**
 * @param {Renewal} renewal
 * @param {Standing | null} standing
 * @param {() => Promise<void>} redraw once more of who works here and of what is drawn
 */
export function newKeySection(renewal, standing, redraw) {
  if (renewal.isOpen || renewal.isLeft) return form(renewal, redraw);
  const open = () => {
    renewal.isOpen = true;
    void redraw();
  };
  return html`${isDue(standing) ? html`<p class="notice">This key is more than a year old. Make a new one
      when an administrator is beside you.</p>` : nothing}
    <div class="btn-row"><button type="button" class="btn" @click=${open}>Make a new key</button></div>`;
}

/**
 * @param {Renewal} renewal
 * @param {() => Promise<void>} redraw
 */
function form(renewal, redraw) {
  const { isLeft, typed, isBusy, error, needsSignIn } = renewal;
  const submit = (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    if (typed !== "" && !isBusy) void renew(renewal, redraw);
  };
  const leave = () => {
    Object.assign(renewal, { isOpen: false, typed: "", error: null });
    void redraw();
  };
  return html`${sectionHead("A new key")}<form class="form" @submit=${submit} novalidate>
    ${isLeft ? LEFT : WHY}
    ${error ? html`<p class="error-list" role="alert">${error}</p>` : nothing}
    ${needsSignIn ? html`<a class="strong" href="#/sign-in/online">Sign in with the network</a>` : nothing}
    ${textField({
      id: "key-passphrase",
      label: "Your passphrase",
      type: "password",
      value: typed,
      autocomplete: "off",
      onInput: (text) => {
        renewal.typed = text;
        void redraw();
      },
    })}
    <div class="btn-row">
      ${isLeft ? nothing : html`<button type="button" class="btn" @click=${leave}>Keep the key I have</button>`}
      <button type="submit" class="btn main" aria-disabled=${isBusy || typed === ""}>
        ${isBusy ? "Asking the base" : isLeft ? "Close the old key" : "Make the new key"}</button>
    </div>
  </form>`;
}

const WHY = html`<p class="t-small">This needs the network, since the base has to know the new key. What
    the old one signed is sent, then it is closed; nothing is lost. <b>Until an administrator has
    compared the eight new words, what you record is sent and does not count yet.</b></p>
  <p class="t-small">If somebody else may have used this phone, this is not enough: have the key revoked
    at the desk.</p>`;
const LEFT = html`<p class="notice">The new key is in use. The old one is not closed at the base yet: it
  waits for the network, or for records that it signed.</p>`;

/**
 * @param {Renewal} renewal
 * @param {() => Promise<void>} redraw
 */
async function renew(renewal, redraw) {
  Object.assign(renewal, { isBusy: true, error: null, needsSignIn: false });
  await redraw();
  /** @type {Error | null} */
  let failed = null;
  try {
    await renewKey(renewal.typed);
  } catch (error) {
    failed = /** @type {Error} */ (error);
  }
  const needsSignIn = failed instanceof SignInNeeded;
  Object.assign(renewal, { isBusy: false, isOpen: failed !== null, typed: "", error: failed?.message ?? null, needsSignIn });
  await redraw();
}
