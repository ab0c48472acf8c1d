/** Envelopes, keys and signatures in the browser, by the vectors that Python reads too. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import {
  digestOf,
  fromBase64url,
  openEnvelope,
  seal,
  toBase64url,
  verifyRecord,
} from "../../../static/records/envelope.js";
import { BadRecord } from "../../../static/records/errors.js";
import { checkPayload } from "../../../static/records/kinds.js";
import { keyId, loadPublicKey, newKey, sign, verify } from "../../../static/records/signing.js";
import { newUuid7 } from "../../../static/records/uuid7.js";
import { readVectors } from "./vectors.js";

const signed = readVectors("signatures");
const { payloads } = readVectors("kinds");
const spkiOf = new Map(
  signed.keys.map((/** @type {any} */ { kid, spki }) => [kid, fromBase64url(spki, "spki")]),
);

/** @param {{ p: string, kid: string, sig: string }} envelope */
async function accept({ p, kid, sig }) {
  const record = await openEnvelope({ p, kid, sig });
  await verifyRecord(record, spkiOf.get(record.kid));
  return record;
}

/** @param {string} member */
const badAt = (member) => (/** @type {unknown} */ error) =>
  error instanceof BadRecord && error.field === member;

describe("openEnvelope and verifyRecord", () => {
  for (const envelope of signed.envelopes) {
    it(`accepts ${envelope.id.slice(0, 8)}`, async () => {
      assert.equal((await accept(envelope)).id, envelope.id);
    });
  }
  const [first] = signed.envelopes;
  const last = signed.envelopes[signed.envelopes.length - 1];
  for (const odd of [null, [], "text", {}, { p: "", kid: "", sig: "" }]) {
    it(`refuses ${JSON.stringify(odd)}`, async () => {
      await assert.rejects(openEnvelope(odd), BadRecord);
    });
  }
  const members = [
    ["alg", "none"],
    ["p", null],
    ["p", "e30="],
    ["p", "e31"],
    ["p", "e 30"],
    ["p", "e"],
    ["kid", "F".repeat(64)],
    ["kid", null],
    ["sig", 5],
    ["sig", "\u0661"],
  ];
  for (const [name, value] of members) {
    it(`refuses ${name} ${JSON.stringify(value)}`, async () => {
      const { p, kid, sig } = first;
      await assert.rejects(openEnvelope({ p, kid, sig, [String(name)]: value }), BadRecord);
    });
  }
  it("refuses another text for the very same signature bytes", async () => {
    // 64 bytes leave four spare bits in the last character, so its next letter is as good.
    const { p, kid, sig } = first;
    const spared = sig.slice(0, -1) + String.fromCharCode(sig.charCodeAt(sig.length - 1) + 1);
    assert.deepEqual(Buffer.from(spared, "base64url"), Buffer.from(sig, "base64url"));
    await assert.rejects(openEnvelope({ p, kid, sig: spared }), /standard base64url/);
  });
  it("refuses another key than the payload names", async () => {
    const { p, sig } = first;
    await assert.rejects(openEnvelope({ p, kid: last.kid, sig }), badAt("kid"));
    const record = await openEnvelope({ p, kid: first.kid, sig });
    await assert.rejects(verifyRecord(record, spkiOf.get(last.kid)), badAt("kid"));
  });
  it("accepts no payload and no signature with a changed byte", async () => {
    let refused = 0;
    for (const member of ["p", "sig"]) {
      const data = fromBase64url(first[member], member);
      for (let place = 0; place < data.length; place += 1) {
        const forged = data.slice();
        forged[place] ^= 1 << (place % 8);
        await assert.rejects(accept({ ...first, [member]: toBase64url(forged) }), BadRecord);
        refused += 1;
      }
    }
    assert.ok(refused > 64);
  });
});

describe("verify", () => {
  const spki = fromBase64url(signed.keys[0].spki, "spki");
  for (const { name, p, sig } of signed.bad_signatures) {
    it(`refuses ${name}`, async () => {
      const refused = verify(spki, fromBase64url(p, "p"), fromBase64url(sig, "sig"));
      await assert.rejects(refused, badAt("sig"));
    });
  }
  it("accepts the twin signature, as every ECDSA does", async () => {
    const { p, sig } = signed.twin;
    await verify(spki, fromBase64url(p, "p"), fromBase64url(sig, "sig"));
  });
});

describe("keys", () => {
  for (const { made_by: maker, kid, spki } of signed.keys) {
    it(`accepts a key made by ${maker}`, async () => {
      const bytes = fromBase64url(spki, "spki");
      await loadPublicKey(bytes);
      assert.equal(await keyId(bytes), kid);
    });
  }
  for (const { name, spki } of signed.bad_keys) {
    it(`refuses ${name}`, async () => {
      await assert.rejects(loadPublicKey(fromBase64url(spki, "spki")), badAt("spki"));
    });
  }
  it("can't be exported, and sign 64 bytes", async () => {
    const { privateKey, spki, kid } = await newKey();
    assert.equal(await keyId(spki), kid);
    await assert.rejects(crypto.subtle.exportKey("pkcs8", privateKey));
    const payload = new TextEncoder().encode("payload");
    const signature = await sign(privateKey, payload);
    assert.equal(signature.length, 64);
    await verify(spki, payload, signature);
  });
});

describe("seal", () => {
  it("makes what opens and verifies, with the id of its bytes", async () => {
    const key = await newKey();
    const payload = { ...payloads["reading.refraction"], key: key.kid };
    const { id, envelope } = await seal(payload, key.privateKey);
    const record = await openEnvelope(envelope);
    await verifyRecord(record, key.spki);
    assert.equal(record.id, id);
    assert.deepEqual(record.payload, payload);
  });
  it("refuses a payload that breaks a rule", async () => {
    const { privateKey, kid } = await newKey();
    const payload = { ...payloads["reading.refraction"], key: kid, eye: null };
    await assert.rejects(seal(payload, privateKey), badAt("eye"));
  });
  it("refuses a letter that looks alike in a serial number, however far back the clock is set", async () => {
    const { privateKey, kid } = await newKey();
    const older = { ...structuredClone(payloads["surgery.implanted"]), key: kid, wall: "2026-01-01T00:00:00Z" };
    older.body.serial = "T\u0406-900";
    assert.equal(checkPayload(older), older);
    await assert.rejects(seal(older, privateKey), badAt("serial"));
  });
  it("refuses a check code that does not belong to what was shown", async () => {
    const { privateKey, kid } = await newKey();
    const payload = { ...structuredClone(payloads["plan.request"]), key: kid };
    assert.equal(await digestOf(payload.body.shown), payload.body.digest);
    payload.body.shown.lens.sphere_cD -= 50;
    await assert.rejects(seal(payload, privateKey), badAt("digest"));
  });
});

describe("newUuid7", () => {
  it("has the version, the variant and the time of RFC 9562", () => {
    // 0x017F22E279B0 ms is the time of the example in RFC 9562, appendix A.6.
    const id = newUuid7(0x017f22e279b0);
    assert.match(id, /^017f22e2-79b0-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
  });
  it("does not repeat", () => {
    const ids = Array.from({ length: 1000 }, () => newUuid7(0));
    assert.equal(new Set(ids).size, ids.length);
    for (const id of ids) assert.match(id, /^00000000-0000-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-/);
  });
});
