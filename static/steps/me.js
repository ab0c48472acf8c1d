/**
 * Me and this phone: who, where, which theme, whether the storage is safe, and what calculates.
 *
 * @import { Place } from "../main.js"
 * @import { Identity } from "../store/identity.js"
 * @import { StorageAnswer } from "../store/storage.js"
 * @import { Renewal } from "./new_key.js"
 */
import { html, nothing } from "lit-html";
import { coreStatus } from "../core/runtime.js";
import { chooseSite, currentIdentity } from "../store/identity.js";
import { givenUpKey } from "../store/renewal.js";
import { recoveryName } from "../store/recovery.js";
import { askToKeepStorage, storageAnswer } from "../store/storage.js";
import { syncStatus } from "../sync/client.js";
import { signOut } from "../sync/enrol.js";
import { IDLE_CHOICES_MIN, idleMinutes, lockNow, useIdleMinutes } from "../idle.js";
import { choiceField } from "../ui/form.js";
import { moment } from "../ui/moments.js";
import { pageHead, sectionHead } from "../ui/page.js";
import { theme, THEMES, useTheme } from "../ui/theme.js";
import { coreNotice } from "../ui/waiting.js";
import { isPartKept, onParts, PARTS } from "../parts.js";
import { lookForUpdate } from "../update.js";
import { keyWords } from "./key_words.js";
import { otherKeysSection } from "./my_keys.js";
import { newKeySection, renewalOf } from "./new_key.js";
import { go, openPage, siteTitle, strips, tabs, together } from "./frame.js";

/**
 * @typedef {{ identity: Identity, storage: StorageAnswer, idleMin: number, recovery: string | null, renewal: Renewal }} Model
 *
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, identity }) {
  const [storage, recovery, renewal] = [await storageAnswer(), await recoveryName(), await renewalOf(identity)];
  const model = { identity, storage, idleMin: await idleMinutes(), recovery, renewal };
  const acts = {
    theme(/** @type {string} */ chosen) {
      useTheme(/** @type {any} */ (chosen));
      page.redraw();
    },
    async idle(/** @type {number} */ minutes) {
      await useIdleMinutes(minutes);
      model.idleMin = minutes;
      page.redraw();
    },
    async key() {
      // With a new key the same person works here, and this page stays open.
      model.identity = (await currentIdentity()) ?? model.identity;
      renewal.isLeft = (await givenUpKey(identity.user.id)) !== null;
      page.redraw();
    },
    async keepStorage() {
      await askToKeepStorage();
      model.storage = await storageAnswer();
      page.redraw();
    },
  };
  const page = openPage(root, () => view(model, acts));
  void lookForUpdate();
  return together([page.stop, onParts(page.redraw)]);
}

/**
 * @param {Model} model
 * @param {{ theme: (chosen: string) => void, idle: (minutes: number) => Promise<void>, key: () => Promise<void>, keepStorage: () => Promise<void> }} acts
 */
function view({ identity, storage, idleMin, recovery, renewal }, acts) {
  return html`${pageHead({ title: "Me and this phone" })} ${strips()}
    <main>
      ${sectionHead(identity.user.name, roleWords(identity))}
      <p class="t-small">Device: ${identity.label}. Key
        <code>${identity.kid.slice(0, 12)}</code>.</p>
      ${keyWords(identity.kid, syncStatus().standing)}
      ${newKeySection(renewal, syncStatus().standing, acts.key)}
      ${otherKeysSection(identity, syncStatus().devices)}
      <div class="gap-top">${siteChoice(identity)}</div>
      <div class="gap-top">${choiceField({
        id: "theme",
        label: "Theme of this phone",
        choices: THEMES.map(({ id, label }) => [id, label]),
        columns: "three",
        value: theme(),
        hint: THEMES.map(({ label, hint }) => `${label}: ${hint.toLowerCase()}.`).join(" "),
        onChoose: (chosen) => acts.theme(chosen),
      })}</div>
      ${sectionHead("Lock")}
      <p class="t-small">What is kept here is encrypted. The phone locks a minute after this page goes
        out of sight, and when nobody touches it.</p>
      <div class="gap-top">${choiceField({
        id: "idle",
        label: "Lock without a touch after",
        choices: IDLE_CHOICES_MIN.map((minutes) => [String(minutes), `${minutes} minutes`]),
        columns: "three",
        value: String(idleMin),
        onChoose: (minutes) => void acts.idle(Number(minutes)),
      })}</div>
      <div class="btn-row"><button type="button" class="btn" @click=${lockNow}>Lock now</button>
        <a class="btn" href="#/sign-in/stuck">Outbox as a file</a></div>
      <p class="t-small soft">${recoveryWords(recovery)}</p>
      ${sectionHead("Storage")}
      ${storageWords(storage, acts)}
      ${partWords()}
      ${sectionHead("Sign in and out")}
      ${sessionWords()}
      <div class="btn-row">
        <a class="btn" href="#/sign-in/online">Sign in with the network</a>
        <button type="button" class="btn" @click=${() => void leave()}>Sign out, keep everything
          here</button>
      </div>
      ${coreNotice(coreStatus())}
      <footer class="bound">
        Calculation core <code>${coreStatus().sha256}</code>; the base calculates with
        <code>${syncStatus().serverCore ?? "not heard yet"}</code>. This supports a licensed
          surgeon’s
        decision and replaces none.
      </footer>
    </main>
    ${tabs("#/me", identity)}`;
}

/** @param {string | null} recovery */
function recoveryWords(recovery) {
  if (!recovery) return "The base has no recovery key: if nobody can unlock this phone, what waits here is lost.";
  return html`If nobody can unlock this phone, the base can: recovery key
    <code>${recovery.slice(0, 12)}</code>.`;
}

/** @param {Identity} identity */
function roleWords({ user }) {
  return [...new Set(user.roles.map(({ role }) => role))].join(", ");
}

/** @param {Identity} identity */
function siteChoice(identity) {
  const sites = [...new Set(identity.user.roles.map(({ site }) => site))];
  return choiceField({
    id: "site",
    label: "New records belong to",
    choices: sites.map((site) => [site, siteTitle(identity, site)]),
    value: identity.site,
    onChoose: (site) => void chooseSite(site),
  });
}

/**
 * @param {StorageAnswer} storage
 * @param {{ keepStorage: () => Promise<void> }} acts
 */
function storageWords({ kept, usedBytes, quotaBytes }, acts) {
  const words = {
    yes: "The browser has promised to keep what is stored here.",
    no: "The browser has not promised to keep what is stored here: on a full phone it may delete it. Send often.",
    unknown: "The browser does not say whether it keeps what is stored here. Send often.",
  }[kept];
  const most = quotaBytes === null ? "" : ` of ${sizeWords(quotaBytes)}`;
  const size = usedBytes === null ? "" : ` ${sizeWords(usedBytes)} used${most}.`;
  return html`<p class="t-small">${words}${size}</p>
    ${kept === "yes" ? nothing : html`<button type="button" class="btn gap-top"
      @click=${() => void acts.keepStorage()}>Ask the browser again</button>`}`;
}

/** Pages that only some use are fetched by themselves for those who do. */
function partWords() {
  return Object.entries(PARTS).map(([name, { title }]) => html`<p class="t-small">Pages “${title}”:
    ${isPartKept(name) ? "kept on this device, for use without the network." : html`not kept on this device.
      <a class="strong" href="#/${name}">Open them once with the network</a> to keep them.`}</p>`);
}

/** @param {number} bytes */
const sizeWords = (bytes) =>
  bytes < 1e9 ? `${(bytes / 1e6).toFixed(1)} MB` : `${(bytes / 1e9).toFixed(1)} GB`;

function sessionWords() {
  const { needsSignIn, lastHeard } = syncStatus();
  const heard = lastHeard
    ? `Base last heard ${moment(lastHeard)}.`
    : "The base has not been heard yet.";
  const words = needsSignIn
    ? "The session with the base is over: sign in with the network to send."
    : heard;
  return html`<p class="t-small">${words}</p>`;
}

async function leave() {
  go("#/sign-in");
  await signOut();
}
