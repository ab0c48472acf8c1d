/**
 * For the test beside it: seal records by the browser's modules, and open one that Python sealed.
 * Reads {payloads, envelope, spki} as JSON, prints {spki, envelopes, opened}.
 */
import { readFileSync } from "node:fs";
import {
  fromBase64url,
  openEnvelope,
  seal,
  toBase64url,
  verifyRecord,
} from "../../static/records/envelope.js";
import { newKey } from "../../static/records/signing.js";

const { payloads, envelope, spki } = JSON.parse(readFileSync(0, "utf8"));
const key = await newKey();
const envelopes = [];
let prev = null;
for (const payload of payloads) {
  const seq = envelopes.length + 1;
  const sealed = await seal({ ...payload, key: key.kid, seq, prev }, key.privateKey);
  envelopes.push(sealed.envelope);
  prev = sealed.id;
}
const record = await openEnvelope(envelope);
await verifyRecord(record, fromBase64url(spki, "spki"));
process.stdout.write(
  JSON.stringify({ spki: toBase64url(key.spki), envelopes, opened: record.payload }),
);
