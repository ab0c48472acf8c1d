/**
 * Who is working: asked at every start and after each lock, with the passphrase; once with the
 * network to enrol this device, after that without.
 *
 * @import { Place } from "../main.js"
 * @import { Voucher } from "../store/admit.js"
 * @import { Identity } from "../store/identity.js"
 */
import { html, nothing } from "lit-html";
import { chooseSite, currentIdentity, isReady, peopleOfThisDevice } from "../store/identity.js";
import { captureAllowed } from "../store/storage.js";
import { findingBlock } from "../ui/findings.js";
import { choiceField, errorList, textField } from "../ui/form.js";
import { icon } from "../ui/icons.js";
import { pageHead } from "../ui/page.js";
import { openPage, siteTitle, strips } from "./frame.js";
import { goOn, signInHere, signInOnline } from "./sign_in_acts.js";

/**
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, params }) {
  const known = await peopleOfThisDevice();
  const last = known.find(({ current }) => current) ?? (known.length === 1 ? known[0] : null);
  /** @type {Model} */
  const model = {
    identity: await currentIdentity(),
    known,
    chosen: last?.id ?? null,
    isNew: known.length === 0 || params[0] === "online",
    name: "",
    passphrase: "",
    voucher: null,
    busy: null,
    error: null,
  };
  const change = (/** @type {Partial<Model>} */ part) => {
    Object.assign(model, part);
    page.redraw();
  };
  const page = openPage(root, () => view(model, change));
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
 * @property {Voucher | null} voucher who lets a new person in, once that was asked for
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
    ${model.voucher ? voucherFields(model, model.voucher, change) : nothing}
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
      @click=${() => change({ chosen: id, passphrase: "", error: null })}>${name}${locked ? ", sign in with the network" : ""}</button>`,
    )}
    ${model.chosen ? chosenPerson(model, change) : nothing}
    <button type="button" class="btn quiet"
      @click=${() => change({ isNew: true, error: null, passphrase: "" })}>
      ${icon("plus")} Somebody else, with the network</button>
    <a class="btn quiet" href="#/sign-in/stuck">Nobody can unlock this phone</a>
  </div>`;
}

/**
 * @param {Model} model
 * @param {Change} change
 */
function chosenPerson(model, change) {
  const locked = model.known.find(({ id }) => id === model.chosen)?.locked;
  return locked ? html`<p class="notice" role="alert">${locked}</p>` : resumeForm(model, change);
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

/**
 * Who lets this person in: everybody else's keys open the same data, so one of them must be here.
 *
 * @param {Model} model
 * @param {Voucher} voucher
 * @param {Change} change
 */
function voucherFields({ known }, voucher, change) {
  const able = known.filter(({ locked }) => !locked);
  if (able.length === 0) return html`<p class="notice">Nobody’s passphrase opens this phone any more, so
    nobody can let you in. Save the <a class="strong" href="#/sign-in/stuck">outbox as a file</a> and take the
    phone to the base hospital.</p>`;
  return html`${choiceField({
    id: "voucher",
    label: "Who lets you in?",
    choices: able.map(({ id, name }) => [id, name]),
    value: voucher.userId,
    onChoose: (userId) => change({ voucher: { ...voucher, userId } }),
  })}
  ${textField({
    id: "voucher-passphrase",
    label: "Their passphrase",
    type: "password",
    value: voucher.passphrase,
    autocomplete: "off",
    onInput: (passphrase) => change({ voucher: { ...voucher, passphrase } }),
  })}`;
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
