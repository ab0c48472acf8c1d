/** A base hospital for the tests: other people's signed records, in pages as the server sends them. */
import { seal } from "../../../static/records/envelope.js";
import { toBase64url } from "../../../static/records/envelope.js";
import { newKey } from "../../../static/records/signing.js";

/** Another optometrist's device, whose records only the base can hand over. */
export async function otherDevice(user = "u-quill") {
  const { kid, privateKey, spki } = await newKey();
  /** @type {{ seq: number, id: string | null }} */
  const head = { seq: 0, id: null };

  /**
   * Sign the next record of this device, or one at another place of its chain.
   *
   * @param {{ kind: string, person: string | null, eye: "R" | "L" | null, body: object, site?: string, role?: string, reason?: string | null, at?: { seq: number, id: string | null } }} asked
   */
  async function make({ kind, person, eye, body, site = "saltpan", role = "optometrist", reason = null, at }) {
    const place = at ?? { seq: head.seq + 1, id: head.id };
    const payload = {
      ...{ v: 1, kind, person, eye, site, author: user, role, key: kid },
      ...{ seq: place.seq, prev: place.id, wall: "2026-11-25T04:45:12.120Z" },
      ...{ replaces: null, reason, body },
    };
    const { id, envelope } = await seal(payload, privateKey);
    if (!at) Object.assign(head, { seq: payload.seq, id });
    return { id, payload, envelope };
  }

  const key = { kid, spki: toBase64url(spki), user, name: "T. Quill", label: "x", revoked: 0 };
  return { key, make };
}

/**
 * One page of a site, starting after `from`.
 *
 * @param {{ envelope: { p: string, kid: string, sig: string } }[]} made
 * @param {{ from?: number, epoch?: string, site?: string }} [where]
 */
export function pageOf(made, { from = 0, epoch = "1", site = "saltpan" } = {}) {
  const to = from + made.length;
  const records = made.map(({ envelope }, index) => ({
    ...envelope,
    n: from + index + 1,
    received_at: "2026-11-25T05:00:00.000Z",
  }));
  return { epoch, site, from, to, head: to, records };
}
