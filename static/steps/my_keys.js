/**
 * The person's other open keys: one that no phone holds any more is closed at the desk's pages.
 *
 * @import { Identity } from "../store/identity.js"
 * @import { Device } from "../sync/status.js"
 */
import { html, nothing } from "lit-html";
import { syncStatus } from "../sync/client.js";
import { sinceInWords } from "../ui/moments.js";
import { sectionHead } from "../ui/page.js";
import { count } from "../ui/words.js";

/**
 * Return the keys of this person, other than this phone's, of which the base still expects records.
 *
 * @param {Identity} identity
 * @param {Device[]} devices as the base listed them last
 * @returns {Device[]}
 */
export function otherKeys({ kid, user }, devices) {
  return devices.filter((device) => device.user === user.id && device.kid !== kid);
}

/**
 * Return the key of this person that may have been in this browser before its storage was cleared:
 * nothing signed by the present key has arrived, and the base still expects records of another, which
 * this phone did not give up itself.
 *
 * @param {Identity} identity
 * @param {Device[]} devices as the base listed them last
 * @returns {Device | null}
 */
export function keyBefore(identity, devices) {
  const own = devices.find(({ kid }) => kid === identity.kid);
  const others = own?.sent === 0 && !identity.given_up ? otherKeys(identity, devices) : [];
  return others.sort((a, b) => ((a.last_heard ?? "") < (b.last_heard ?? "") ? 1 : -1))[0] ?? null;
}

/**
 * Return what the first page says then, or nothing.
 *
 * @param {Identity} identity
 */
export function clearedNotice(identity) {
  const before = keyBefore(identity, syncStatus().devices);
  if (!before) return nothing;
  return html`<p class="notice" role="status">The key in this browser is new. If you worked here before
    (${before.label}), the browser cleared its storage: what had not been sent is gone. Look on paper,
    enter it again, and close the old key under <a class="strong" href="#/me">Your other keys</a>.</p>`;
}

/**
 * Return the section that lists them, or nothing where there are none.
 *
 * @param {Identity} identity
 * @param {Device[]} devices
 */
export function otherKeysSection(identity, devices) {
  const others = otherKeys(identity, devices);
  if (others.length === 0) return nothing;
  return html`${sectionHead("Your other keys")}
    <p class="t-small">If a browser’s storage was cleared, its key is gone: close it on its page. What
      it had not sent is lost unless it was exported.</p>
    <ul>${others.map((device) => html`<li class="t-small"><a class="strong" href="/desk/devices/${device.kid}">
      ${device.label}</a>: had sent ${sentWords(device.sent)}, last heard
      ${device.last_heard ? `${sinceInWords(device.last_heard)} ago` : "never"}.</li>`)}</ul>`;
}

/** @param {number | undefined} sent unknown where a base of an older version did not say */
const sentWords = (sent) => (sent === undefined ? "an unknown number of records" : count(sent, "record"));
