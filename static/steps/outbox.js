/**
 * The outbox: what the base refused and why, what waits, and when the base was last heard.
 *
 * A refused record stays until a person acts; there is no bin.
 *
 * @import { Place } from "../main.js"
 * @import { Identity } from "../store/identity.js"
 * @import { OutboxRow } from "../store/outbox.js"
 * @import { SyncStatus } from "../sync/status.js"
 * @import { Acts, Withdrawing } from "./outbox_refused.js"
 * @import { Aside } from "../store/aside.js"
 */
import { html, nothing } from "lit-html";
import { onChange, recordOf } from "../store/journal.js";
import { arrivedSince } from "../store/arrived.js";
import { setAside } from "../store/aside.js";
import { refused, waiting, withdrawn, withdrawRefused } from "../store/outbox.js";
import { personHere } from "../store/people.js";
import { syncInTurn, syncStatus } from "../sync/client.js";
import { moment, startOfToday } from "../ui/moments.js";
import { pageHead } from "../ui/page.js";
import { emptyLine } from "../ui/waiting.js";
import { openPage, strips, tabs, together } from "./frame.js";
import { arrivedView, asideView, notYours, waitingView, withdrawnView } from "./outbox_lists.js";
import { recordWords, refusedView, withdrawSheet } from "./outbox_refused.js";
import { count } from "../ui/words.js";

/**
 * @typedef {Pick<OutboxRow, "id" | "kind" | "person" | "eye" | "wall">} Listed
 * @typedef {Listed & { name: string, isHere: boolean }} Row
 * @typedef {Row & Pick<OutboxRow, "code" | "message">} Refusal
 * @typedef {object} Model
 * @property {Identity} identity
 * @property {(Row & { site: string })[]} waiting
 * @property {Refusal[]} refused
 * @property {(Row & Pick<OutboxRow, "withdrawn">)[]} withdrawn
 * @property {Withdrawing | null} asking why a refused record is withdrawn
 * @property {Row[]} arrived today, the newest first
 * @property {Aside[]} aside what the base has and this phone could not take in
 * @property {string | null} report
 *
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, identity }) {
  /** @type {Model} */
  const model = { identity, ...(await rows(identity)), asking: null, report: null };
  const send = async () => {
    model.report = "Sending and fetching …";
    page.redraw();
    const { ended, sent, received, message } = await syncInTurn();
    const done = `${count(sent, "record")} sent, ${received} fetched.`;
    model.report = ended === "done" ? done : message;
    page.redraw();
  };
  const acts = withdrawing(model, () => page.redraw());
  const page = openPage(root, () => view(model, send, acts));
  const stopStore = onChange(async () => {
    Object.assign(model, await rows(identity));
    page.redraw();
  });
  return together([page.stop, stopStore]);
}

/** @param {Identity} identity */
async function rows({ kid }) {
  const [waits, refusals, gone, arrived, aside] = await Promise.all([
    waiting(),
    refused(),
    withdrawn(),
    arrivedSince(kid, startOfToday()),
    setAside(),
  ]);
  return {
    aside,
    waiting: await named(waits),
    refused: await named(refusals),
    withdrawn: await named(gone),
    arrived: await named(arrived),
  };
}

/**
 * @template {Listed} T
 * @param {T[]} list
 * @returns {Promise<(T & { name: string, isHere: boolean })[]>}
 */
function named(list) {
  return Promise.all(
    list.map(async (row) => {
      const person = row.person ? await personHere(row.person) : null;
      return { ...row, isHere: person !== null, name: person?.name ?? (await nameIn(row)) };
    }),
  );
}

/**
 * A refused registration makes nobody, but it says whom it was about.
 *
 * @param {Listed} row
 * @returns {Promise<string>}
 */
async function nameIn({ id, kind, wall }) {
  const stored = kind === "person.registered" && wall !== null ? await recordOf(id) : null;
  return stored?.payload.body["name"] ?? "Not on this phone";
}

/**
 * @param {Model} model
 * @param {() => void} redraw
 * @returns {Acts}
 */
function withdrawing(model, redraw) {
  const close = () => {
    model.asking = null;
    redraw();
  };
  return {
    close,
    ask(row) {
      model.asking = { id: row.id, words: recordWords(row), reason: "", error: null };
      redraw();
    },
    reason(reason) {
      if (model.asking) model.asking = { ...model.asking, reason, error: null };
      redraw();
    },
    withdraw() {
      if (!model.asking) return;
      const { id, reason } = model.asking;
      if (reason.trim() === "") {
        model.asking.error = "Say why in a few words; it stands beside the record for good.";
        return redraw();
      }
      void withdrawRefused(id, model.identity.user.name, reason.trim()).then(close);
    },
  };
}

/**
 * @param {Model} model
 * @param {() => Promise<void>} send
 * @param {Acts} acts
 */
function view(model, send, acts) {
  const status = syncStatus();
  return html`${pageHead({ title: "Outbox" })} ${strips()}
    <main>
      ${model.refused.length > 0 ? html`<div
        class="stack gap-top">${model.refused.map((row) => refusedView(row, acts))}</div>` : nothing}
      ${model.report ? html`<p class="notice" role="status">${model.report}</p>` : nothing}
      ${status.message && status.message !== model.report ? html`<p class="notice" role="status">${status.message}</p>` : nothing}
      ${model.waiting.length === 0 ? emptyLine(arrivedWords(status, model.refused.length)) : html`${notYours(model)}${waitingView(model.waiting)}`}
      ${asideView(model)} ${arrivedView(model.arrived)} ${withdrawnView(model.withdrawn)}
      ${model.asking ? withdrawSheet(model.asking, acts) : nothing}
      <div class="dock">
        ${
          status.needsSignIn
            ? html`<a class="btn main wide" href="#/sign-in/online">Sign in to send</a>`
            : html`<button type="button" class="btn main wide" aria-disabled=${status.syncing}
              @click=${() => void send()}>
              ${status.syncing ? "Sending and fetching" : "Send and fetch now"}</button>`
        }
      </div>
    </main>
    ${tabs("#/outbox", model.identity)}`;
}

/**
 * @param {SyncStatus} status
 * @param {number} refusals
 */
function arrivedWords({ lastHeard }, refusals) {
  const heard = lastHeard
    ? ` Base heard ${moment(lastHeard)}.`
    : " The base has not been heard yet.";
  return `${refusals ? "Nothing else waits." : lastHeard ? "Everything has arrived." : "Nothing waits here."}${heard}`;
}
