/** A stand-in for the base hospital's server: the promises of its four addresses, and faults on demand. */
import { fromBase64url, openEnvelope } from "../../../static/records/envelope.js";
import { keyId } from "../../../static/records/signing.js";

const RECEIVED_AT = "2026-11-25T05:00:00.000Z";

/** One life of the base; `install` puts it where the app asks. */
export class Base {
  /** @type {{ id: string, payload: any, envelope: object }[]} */
  log = [];
  /** @type {{ method: string, path: string, records: number, bytes: number }[]} */
  asked = [];
  /** @type {Map<string, { code: string, message: string }>} */
  refusals = new Map();
  /** @type {Set<string>} ids of records that a request must not hold */
  unreadable = new Set();
  /** @type {object[]} */
  keys = [];
  /** @type {{ kid: string, user: string, name: string, label: string, last_heard: null }[]} of which records are expected */
  devices = [];
  epoch = 1;
  /** @type {Set<string>} ids of the keys that were named to it */
  named = new Set();
  /** @type {Map<string, { successor: string, last_seq: number }>} */
  closed = new Map();
  passphrase = "";
  standing = { state: "confirmed", since: "2026-11-25T05:00:00.000Z" };
  userId = "u-ambler";
  clockAheadMs = 0;
  /** @type {((path: string) => Response | Promise<Response> | null)} */
  fault = () => null;
  /** @type {((path: string) => boolean)} */
  losesAnswer = () => false;

  install() {
    globalThis.fetch = (path, request) => this.#answer(String(path), request ?? {});
  }

  /**
   * @param {string} path
   * @param {RequestInit} request
   */
  async #answer(path, request) {
    const body = request.body ? JSON.parse(await textOf(request)) : null;
    const bytes = /** @type {any} */ (request.body)?.byteLength ?? 0;
    const records = body?.records?.length ?? 0;
    this.asked.push({ method: request.method ?? "GET", path, records, bytes });
    const faulty = await this.fault(path);
    if (faulty) return faulty;
    const answer = await this.#route(new URL(path, "https://base.example"), body);
    if (this.losesAnswer(path)) throw new TypeError("connection lost");
    return answer;
  }

  /**
   * @param {URL} url
   * @param {any} body
   */
  async #route({ pathname, searchParams }, body) {
    const server_time = new Date(Date.now() + this.clockAheadMs).toISOString();
    if (pathname === "/auth/token") return Response.json({ csrf: "t" });
    if (pathname === "/auth/key") return Response.json({ key: this.standing });
    if (pathname === "/auth/enrol") return this.#enrolled(body);
    if (pathname === "/auth/key/renewed") return this.#renewed(body);
    if (pathname === "/auth/me") return Response.json(this.#me());
    if (pathname === "/sync/keys") return Response.json({ keys: this.keys });
    if (pathname === "/sync/pull") return Response.json(this.#page(searchParams));
    if (pathname === "/sync/person") return this.#ofPerson(searchParams.get("person"));
    if (pathname === "/sync/push") return this.#pushed(body.records);
    const status = { epoch: this.epoch, server_time, core: "c", devices: this.devices, checks: [] };
    return Response.json(status);
  }

  /** @param {any} body */
  async #enrolled({ spki, passphrase }) {
    if (passphrase !== this.passphrase) return problem(409, "passphrase.wrong");
    const kid = await keyId(fromBase64url(spki, "spki"));
    this.named.add(kid);
    return Response.json({ kid, server_time: "x", epoch: this.epoch });
  }

  /** @param {any} body */
  #renewed({ kid, successor, signed, passphrase }) {
    if (this.closed.has(kid)) return problem(409, "device.ended");
    if (passphrase !== this.passphrase) return problem(409, "passphrase.wrong");
    const sent = this.log.filter(({ payload }) => payload.key === kid).length;
    if (sent < signed) return problem(409, "device.unsent");
    this.closed.set(kid, { successor, last_seq: sent });
    return Response.json({ closed: 1 });
  }

  #me() {
    const roles = ["saltpan", "north-quay"].map((site) => ({ role: "optometrist", site }));
    return { user: { id: this.userId, name: "R. Ambler", roles }, sites: [] };
  }

  /** @param {URLSearchParams} asked */
  #page(asked) {
    const site = asked.get("site") ?? "";
    const epoch = asked.get("epoch");
    const own = this.log.filter(({ payload }) => payload.site === site);
    const restart = epoch && Number(epoch) !== this.epoch ? 1 : 0;
    const from = restart ? 0 : Number(asked.get("after"));
    const page = restart ? [] : own.slice(from, from + Number(asked.get("limit")));
    const received_at = RECEIVED_AT;
    const records = page.map(({ envelope }, k) => ({ ...envelope, n: from + k + 1, received_at }));
    const to = from + records.length;
    return { epoch: this.epoch, site, from, to, head: own.length, records, restart };
  }

  /** @param {string | null} person */
  #ofPerson(person) {
    const received_at = RECEIVED_AT;
    const records = this.log.flatMap(({ payload, envelope }, k) =>
      payload.person === person ? [{ ...envelope, site: payload.site, n: k + 1, received_at }] : [],
    );
    return records.length > 0 ? Response.json({ epoch: this.epoch, records }) : problem(404, "not_found");
  }

  /** @param {object[]} envelopes */
  async #pushed(envelopes) {
    const ids = await Promise.all(envelopes.map(async (one) => (await openEnvelope(one)).id));
    if (!ids.some((id) => this.unreadable.has(id))) return Response.json(await this.#push(envelopes));
    return problem(413, "request.too_large");
  }

  /** @param {object[]} envelopes */
  async #push(envelopes) {
    const receipts = [];
    for (const envelope of envelopes) receipts.push(await this.#receive(envelope));
    return { epoch: this.epoch, server_time: new Date().toISOString(), receipts };
  }

  /** @param {object} envelope */
  async #receive(envelope) {
    const { id, payload } = await openEnvelope(envelope);
    if (this.log.some((entry) => entry.id === id)) return { id, result: "known", n: 1, reason: null };
    const reason = this.#refusal(id, payload);
    if (reason) return { id, result: "refused", n: null, reason };
    this.log.push({ id, payload, envelope });
    const n = this.log.filter((entry) => entry.payload.site === payload.site).length;
    return { id, result: "stored", n, reason: null };
  }

  /**
   * @param {string} id
   * @param {any} payload
   */
  #refusal(id, payload) {
    if (payload.seq > (this.closed.get(payload.key)?.last_seq ?? Infinity)) {
      return { code: "key.closed", message: "Its key was closed before it arrived." };
    }
    const isHere = (/** @type {string} */ named) => this.log.some((entry) => entry.id === named);
    if (payload.prev && !isHere(payload.prev)) return { code: "chain.gap", message: "An earlier one." };
    const isRegistered = this.log.some(({ payload: p }) => p.person === payload.person);
    if (payload.kind !== "person.registered" && !isRegistered) {
      return { code: "person.unknown", message: "The registration is not here yet." };
    }
    return this.refusals.get(id) ?? null;
  }
}

/**
 * @param {number} status
 * @param {string} code
 */
function problem(status, code) {
  const headers = { "Content-Type": "application/problem+json" };
  return Response.json({ status, detail: `Refused: ${code}.`, code }, { status, headers });
}

/**
 * Return what a request says, unpacked as the server unpacks it.
 *
 * @param {RequestInit} request
 */
async function textOf({ body, headers }) {
  const isPacked = new Headers(headers).get("Content-Encoding") === "gzip";
  if (!isPacked) return String(body);
  const stream = new Blob([/** @type {ArrayBuffer} */ (body)]).stream();
  return new Response(stream.pipeThrough(new DecompressionStream("gzip"))).text();
}
