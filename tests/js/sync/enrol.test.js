/** Enrolling a device: the key is proven before it is named, and nothing is lost by a lost answer. */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { emptyDevice, registration } from "../store/device.js";
import { checkPassphrase, unlock } from "../../../static/store/unlock.js";
import { fromBase64url } from "../../../static/records/envelope.js";
import { keyId } from "../../../static/records/signing.js";
import { chooseSite, currentIdentity } from "../../../static/store/identity.js";
import { keepRecord } from "../../../static/store/journal.js";
import { counts } from "../../../static/store/outbox.js";
import { enrol, signOut } from "../../../static/sync/enrol.js";

const ROLES = ["saltpan", "north-quay"].map((site) => ({ role: "optometrist", site }));
const USER = { id: "u-ambler", name: "R. Ambler", roles: ROLES };
const SITES = [{ id: "saltpan", title: "Saltpan" }];
const PASSPHRASE = "tern islands demo";

/** Keys the base was told of, in order. @type {string[]} */
let named;
/** @type {(path: string) => Response | null} */
let fault;

beforeEach(async () => {
  await emptyDevice();
  named = [];
  fault = () => null;
  globalThis.fetch = async (path, request) => answer(String(path), request ?? {});
});

/**
 * @param {string} path
 * @param {RequestInit} request
 */
async function answer(path, request) {
  const body = request.body ? JSON.parse(String(request.body)) : {};
  if (path === "/auth/enrol") named.push(await keyId(fromBase64url(body.spki, "spki")));
  const faulty = fault(path);
  if (faulty) return faulty;
  if (path === "/auth/token") return Response.json({ csrf: "t" });
  if (path === "/auth/enrol") return Response.json({ kid: named.at(-1), server_time: "x", epoch: 1 });
  if (path === "/auth/sign-out") return Response.json({ signed_out: 1 });
  if (body.passphrase === PASSPHRASE) return Response.json({ user: USER, sites: SITES });
  return problem(401, "sign_in.wrong", "The name or the passphrase is not right.");
}

/**
 * @param {number} status
 * @param {string} code
 * @param {string} detail
 */
function problem(status, code, detail) {
  const headers = { "Content-Type": "application/problem+json" };
  return Response.json({ title: code, status, detail, code }, { status, headers });
}

test("after one sign-in the person works here, with a key that cannot be exported", async () => {
  const identity = await enrol(" ambler ", PASSPHRASE);
  assert.deepEqual([identity.user, identity.kid], [USER, named[0]]);
  assert.equal(identity.privateKey.extractable, false);
  assert.equal((await checkPassphrase(PASSPHRASE)).ok, true);
});

test("a wrong passphrase enrols nobody", async () => {
  await assert.rejects(enrol("ambler", "wrong"), /passphrase is not right/);
  assert.equal(await currentIdentity(), null);
  assert.deepEqual(named, []);
});

test("without a network the reason is given", async () => {
  globalThis.fetch = async () => {
    throw new TypeError("no network");
  };
  await assert.rejects(enrol("ambler", PASSPHRASE), /first sign-in on a phone needs the network/);
});

test("a lost answer to the enrolment costs one more try with the same key", async () => {
  fault = (path) => (path === "/auth/enrol" ? new Response("x", { status: 502 }) : null);
  await assert.rejects(enrol("ambler", PASSPHRASE));
  assert.equal(await currentIdentity(), null);
  fault = () => null;
  await enrol("ambler", PASSPHRASE);
  assert.equal(named.length, 2);
  assert.equal(named[0], named[1]);
});

test("signing in again keeps the key, so its chain goes on", async () => {
  const first = await enrol("ambler", PASSPHRASE);
  assert.equal((await enrol("ambler", PASSPHRASE)).kid, first.kid);
});

test("a revoked key makes way for a new one, and what it signed still waits", async () => {
  const first = await enrol("ambler", PASSPHRASE);
  await chooseSite("saltpan");
  await keepRecord(registration());
  fault = (path) =>
    path === "/auth/enrol" && named.at(-1) === first.kid ? problem(409, "device.taken", "Revoked.") : null;
  const second = await enrol("ambler", PASSPHRASE);
  assert.notEqual(second.kid, first.kid);
  assert.equal((await counts()).waiting, 1);
  const { payload } = await keepRecord(registration("Oda Brandreth"));
  assert.deepEqual([payload.key, payload.seq], [second.kid, 1]);
});

test("a base that names the key otherwise enrols nobody", async () => {
  fault = (path) => (path === "/auth/enrol" ? Response.json({ kid: "0".repeat(64) }) : null);
  await assert.rejects(enrol("ambler", PASSPHRASE), { name: "EnrolFailed" });
  assert.equal(await currentIdentity(), null);
});

test("a browser that cannot sign with a stored key is told so", async () => {
  const { sign } = crypto.subtle;
  crypto.subtle.sign = async () => {
    throw new DOMException("no", "OperationError");
  };
  try {
    await assert.rejects(enrol("ambler", PASSPHRASE), { name: "EnrolFailed" });
  } finally {
    crypto.subtle.sign = sign;
  }
  assert.deepEqual(named, []);
  assert.equal(await currentIdentity(), null);
});

test("signing out keeps the outbox and the key, and works without a network", async () => {
  const first = await enrol("ambler", PASSPHRASE);
  await chooseSite("saltpan");
  await keepRecord(registration());
  fault = () => new Response("x", { status: 502 });
  await signOut();
  assert.equal(await currentIdentity(), null);
  assert.equal((await counts()).waiting, 1);
  assert.equal((await unlock("u-ambler", PASSPHRASE)).ok, true);
  assert.equal((await currentIdentity())?.kid, first.kid);
});
