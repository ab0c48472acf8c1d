/** The app's pages by address: who may see which, and how one gives way to the next. */
import { nothing, render } from "lit-html";
import { boot } from "./boot.js";
import { lockWhenIdle } from "./idle.js";
import { currentIdentity, isOfTheatre, isReady, isSurgeon, onIdentity } from "./store/identity.js";
import { homeAddress } from "./store/joined.js";
import { onLock } from "./store/vault.js";
import * as answers from "./steps/answers.js";
import * as capture from "./steps/capture.js";
import * as caseOf from "./steps/case.js";
import { keepSummariesFresh } from "./steps/casefile.js";
import * as contact from "./steps/contact.js";
import * as correctPerson from "./steps/correct_person.js";
import * as followUp from "./steps/follow_up.js";
import * as health from "./steps/health.js";
import * as me from "./steps/me.js";
import * as newPerson from "./steps/new_person.js";
import * as outbox from "./steps/outbox.js";
import { partStep } from "./steps/part.js";
import * as people from "./steps/people.js";
import * as person from "./steps/person.js";
import * as plan from "./steps/plan.js";
import * as queue from "./steps/queue.js";
import * as stuck from "./steps/stuck.js";
import * as signIn from "./steps/sign_in.js";
import * as visit from "./steps/visit.js";
import * as working from "./steps/working.js";
import * as urgent from "./steps/urgent.js";
import { watchUrgent } from "./steps/urgent_watch.js";
import { showTheme } from "./ui/theme.js";
import { watchForTrouble } from "./ui/trouble.js";

/**
 * @import { Identity } from "./store/identity.js"
 * @typedef {object} Place what a step is given
 * @property {HTMLElement} root where it draws
 * @property {string[]} params the changing parts of the address
 * @property {Identity} identity who works here; null only on the sign-in page
 *
 * @typedef {{ start: (place: Place) => Promise<() => void> | (() => void) }} Step
 */

/** @type {[RegExp, Step][]} */
const ROUTES = [
  [/^#\/sign-in(?:\/(online))?$/, signIn],
  [/^#\/sign-in\/stuck$/, stuck],
  [/^#\/people$/, people],
  [/^#\/follow-up$/, followUp],
  [/^#\/new-person$/, newPerson],
  [/^#\/person\/([^/]+)$/, person],
  [/^#\/person\/([^/]+)\/answers$/, answers],
  [/^#\/person\/([^/]+)\/health$/, health],
  [/^#\/person\/([^/]+)\/registration$/, correctPerson],
  [/^#\/capture\/([^/]+)\/([RL])\/([a-z_]+)$/, capture],
  [/^#\/contact\/([^/]+)\/([RL])$/, contact],
  [/^#\/visit\/([^/]+)\/([RL])(?:\/([a-z_]+))?$/, visit],
  [/^#\/plan\/([^/]+)\/([RL])$/, plan],
  [/^#\/working\/([^/]+)\/([RL])(?:\/([^/]+))?$/, working],
  [/^#\/surgery(?:\/.*)?$/, partStep("theatre")],
  [/^#\/urgent\/([^/]+)\/([RL])$/, urgent],
  [/^#\/queue$/, queue],
  [/^#\/case\/([^/]+)\/([RL])$/, caseOf],
  [/^#\/outbox$/, outbox],
  [/^#\/me$/, me],
  [/^#\/exchange(?:\/.*)?$/, partStep("exchange")],
  [/^#\/theatre(?:\/.*)?$/, partStep("theatre")],
];

const root = /** @type {HTMLElement} */ (document.getElementById("app"));
/** @type {() => void} */
let stopCurrent = () => undefined;
let turn = 0;
/** The address and the person of the open page: asked for once more, it stays as it is typed into. */
let shown = "";
/** @type {Promise<void>} */
let opening = Promise.resolve();

/** Pages open one after the other: one that was slow to start must not draw over a later one. */
function show() {
  turn += 1;
  const mine = turn;
  opening = opening.catch(() => undefined).then(() => (mine === turn ? open() : undefined));
}

async function open() {
  const identity = await currentIdentity();
  if (isReady(identity)) {
    const here = location.hash;
    const address = await homeAddress(here);
    // Somebody who went on meanwhile is not thrown back; their page opens in its own turn.
    if (here !== location.hash) return;
    if (address !== here) {
      location.replace(address);
      return;
    }
  }
  const asked = JSON.stringify([location.hash, identity?.user, identity?.site]);
  if (asked === shown) return;
  const { step, params } = routeOf(identity);
  stopCurrent();
  stopCurrent = () => undefined;
  shown = "";
  stopCurrent = await step.start({ root, params, identity: /** @type {Identity} */ (identity) });
  shown = asked;
  arrive();
}

/** @param {Identity | null} identity */
function routeOf(identity) {
  const home = isSurgeon(identity) ? "#/queue" : isOfTheatre(identity) ? "#/theatre" : "#/people";
  const asked =
    isReady(identity) || location.hash.startsWith("#/sign-in") ? location.hash : "#/sign-in";
  for (const address of [asked, home, "#/people"]) {
    for (const [pattern, step] of ROUTES) {
      const found = pattern.exec(address);
      if (found) return { step, params: found.slice(1) };
    }
  }
  return { step: signIn, params: [] };
}

/** Nothing of a patient stays on a locked phone's screen, nor in what the way back would show. */
function clearAway() {
  turn += 1;
  stopCurrent();
  stopCurrent = () => undefined;
  shown = "";
  render(nothing, root);
  document.title = "Lampside";
  show();
}

/** A new page is read from its top, by eye and by screen reader. */
function arrive() {
  scrollTo(0, 0);
  const inPage = root.contains(document.activeElement) && document.activeElement !== document.body;
  if (!inPage) root.querySelector("h1")?.focus({ preventScroll: true });
}

// What the page said while this was loading makes room.
root.replaceChildren();
showTheme();
watchForTrouble();
addEventListener("hashchange", show);
onIdentity(show);
onLock(clearAway);
addEventListener("pageshow", show);
show();
lockWhenIdle();
boot(opening);
watchUrgent();
keepSummariesFresh();
