/**
 * Signing in: once with the network to enrol this device, after that without.
 *
 * @import { Place } from "../main.js"
 * @import { Identity } from "../store/identity.js"
 */
import { html, nothing } from "lit-html";
import {
  chooseSite,
  currentIdentity,
  isReady,
  isSurgeon,
  peopleOfThisDevice,
  resume,
} from "../store/identity.js";
import { captureAllowed } from "../store/storage.js";
import { enrol } from "../sync/enrol.js";
import { syncNow } from "../sync/client.js";
import { findingBlock } from "../ui/findings.js";
import { errorList, textField } from "../ui/form.js";
import { icon } from "../ui/icons.js";
import { pageHead } from "../ui/page.js";
import { go, openPage, siteTitle, strips } from "./frame.js";

/**
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, params }) {
  const known = await peopleOfThisDevice();
  const model = {
    identity: await currentIdentity(),
    known,
    chosen: known.length === 1 && !params[0] ? (known[0]?.id ?? null) : null,
    isNew: known.length === 0 || params[0] === "online",
    name: "",
    passphrase: "",
    busy: /** @type {string | null} */ (null),
    error: /** @type {string | null} */ (null),
  };
  const page = openPage(root, () => view(model, page_));
  /** @param {Partial<typeof model>} part */
  function page_(part) {
    Object.assign(model, part);
    page.redraw();
  }
  return page.stop;
}

/**
 * @typedef {object} Model
 * @property {Identity | null} identity
 * @property {Awaited<ReturnType<typeof peopleOfThisDevice>>} known
 * @property {string | null} chosen
 * @property {boolean} isNew
 * @property {string} name
 * @property {string} passphrase
 * @property {string | null} busy
 * @property {string | null} error
 * @typedef {(part: Partial<Model>) => void} Change
 *
 * @param {Model} model
 * @param {Change} change
 */
function view(model, change) {
  const { identity } = model;
  if (identity && !isReady(identity)) return siteView(identity);
  return html`${pageHead({ title: "Who is working?" })} ${strips()}
    <main>
      ${refusedBrowser()}
      ${model.isNew ? onlineForm(model, change) : nothing}
      ${model.isNew && model.known.length > 0 ? backToKnown(change) : nothing}
      ${model.isNew ? nothing : knownPeople(model, change)}
    </main>`;
}

function refusedBrowser() {
  const { ok, why } = captureAllowed();
  if (ok) return nothing;
  return findingBlock({ level: "stop", title: "Not in this browser", text: why ?? "", do: "" });
}

/**
 * @param {Model} model
 * @param {Change} change
 */
function onlineForm(model, change) {
  const submit = (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    void signInOnline(model, change);
  };
  return html`<form class="form gap-top" @submit=${submit} novalidate>
    <p>The first sign-in on a phone needs the network. After that this phone works without it.</p>
    ${errors(model)}
    ${textField({
      id: "name",
      label: "Sign-in name",
      value: model.name,
      autocomplete: "username",
      onInput: (name) => change({ name }),
    })}
    ${passphraseField(model, change)}
    <button type="submit" class="btn main full" aria-disabled=${model.busy !== null}>
      ${model.busy ?? "Sign in and enrol this phone"}
    </button>
  </form>`;
}

/**
 * @param {Model} model
 * @param {Change} change
 */
function knownPeople(model, change) {
  return html`<div class="stack gap-top">
    ${model.known.map(
      ({ id, name, locked }) => html`<button type="button" class="btn full"
      aria-pressed=${model.chosen === id}
      @click=${() => change({ chosen: id, passphrase: "", error: null })}>${name}${locked ? ", locked" : ""}</button>`,
    )}
    ${model.chosen ? resumeForm(model, change) : nothing}
    <button type="button" class="btn quiet"
      @click=${() => change({ isNew: true, error: null, passphrase: "" })}>
      ${icon("plus")} Somebody else, with the network</button>
  </div>`;
}

/**
 * @param {Model} model
 * @param {Change} change
 */
function resumeForm(model, change) {
  const submit = (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    void signInHere(model, change);
  };
  return html`<form class="form" @submit=${submit} novalidate>
    ${errors(model)} ${passphraseField(model, change)}
    <button type="submit" class="btn main full" aria-disabled=${model.busy !== null}>
      ${model.busy ?? "Work on this phone"}
    </button>
  </form>`;
}

/**
 * @param {Model} model
 * @param {Change} change
 */
function passphraseField({ passphrase }, change) {
  return textField({
    id: "passphrase",
    label: "Passphrase",
    type: "password",
    value: passphrase,
    autocomplete: "current-password",
    onInput: (text) => change({ passphrase: text }),
  });
}

/** @param {Change} change */
function backToKnown(change) {
  return html`<button type="button" class="btn quiet full gap-top"
    @click=${() => change({ isNew: false, error: null })}>People already on this phone</button>`;
}

/** @param {Model} model */
function errors({ error }) {
  return error ? html`<p class="error-list" role="alert">${error}</p>` : errorList([]);
}

/**
 * @param {Model} model
 * @param {Change} change
 */
async function signInOnline(model, change) {
  if (!model.name.trim() || !model.passphrase) {
    return change({ error: "Type your sign-in name and your passphrase." });
  }
  await attempt(change, "Asking the base", async () => {
    await enrol(model.name, model.passphrase);
    void syncNow();
    return null;
  });
}

/**
 * @param {Model} model
 * @param {Change} change
 */
async function signInHere(model, change) {
  if (!model.passphrase) return change({ error: "Type your passphrase." });
  await attempt(change, "Checking the passphrase", async () => {
    const answer = await resume(model.chosen ?? "", model.passphrase);
    return answer.ok ? null : answer.why;
  });
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
    change({ busy: null, error: /** @type {Error} */ (error).message });
  }
}

async function goOn() {
  const identity = await currentIdentity();
  if (isReady(identity)) go(isSurgeon(identity) ? "#/queue" : "#/people");
}

/** @param {Identity} identity */
function siteView(identity) {
  const sites = [...new Set(identity.user.roles.map(({ site }) => site))];
  const choose = async (/** @type {string} */ site) => {
    await chooseSite(site);
    await goOn();
  };
  return html`${pageHead({ title: "Which camp?" })} ${strips()}
    <main>
      <p class="notice">${identity.user.name}, new records belong to the camp chosen here. It can be
        changed under Me.</p>
      <div class="stack">
        ${sites.map((site) => html`<button type="button" class="btn full"
          @click=${() => void choose(site)}>${siteTitle(identity, site)}</button>`)}
      </div>
    </main>`;
}
