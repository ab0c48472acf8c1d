/**
 * The person's other open keys: one that no phone holds any more is closed at the desk's pages.
 *
 * @import { Identity } from "../store/identity.js"
 * @import { Device } from "../sync/status.js"
 */
import { html, nothing } from "lit-html";
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
