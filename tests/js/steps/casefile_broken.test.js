/** Folding everybody again beside somebody whose records do not open: the others are folded. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { allOf, emptyDevice, enrolHere, registration, whiteToWhite } from "../store/device.js";
import { withDatabase } from "../../../static/store/idb.js";
import { keepRecord } from "../../../static/store/journal.js";
import { peopleAt } from "../../../static/store/people.js";

/** An eye of which nothing was said, as far as a short account needs it. */
const EYE = {
  ...{ state: "measuring", missing: [], wanted: [], findings: [], question: null, approval: null, request: null },
  ...{ decline: null, order: null, urgent: [], surgeries: [], theatre: null, evidence: [] },
  ...{ readings: [], withdrawn: [], unread: [], late: null },
};
const ANSWERS = {
  reference: { catalogue: null, limits: null, vault_models: [], withdrawn_vault_models: [] },
  fold: { eyes: { R: EYE, L: EYE } },
};

/** Stands for the thread of the calculation, which is not what is tried here. */
class Thread {
  /** @type {(event: { data: object }) => void} */
  #tell = () => {};

  /** @param {string} kind @param {(event: any) => void} listener */
  addEventListener(kind, listener) {
    if (kind === "message") this.#tell = listener;
  }

  /** @param {{ do: string, id?: number, text?: string }} asked */
  postMessage({ do: what, id, text }) {
    const data = what === "start" ? { is: "ready" } : { id, text: JSON.stringify(answerTo(text ?? "")) };
    queueMicrotask(() => this.#tell({ data }));
  }

  terminate() {}
}

/** @param {string} text */
const answerTo = (text) => ANSWERS[/** @type {"fold" | "reference"} */ (JSON.parse(text).do)];

test("whoever comes after them has an account, and the list says who does not open", async () => {
  Object.assign(globalThis, {
    Worker: Thread,
    __BUILD__: { coreSha256: "c", workerUrl: "/w.js", coreUrl: "/c", wasmUrl: "/m" },
  });
  const { keepSummariesFresh, onSummary } = await import("../../../static/steps/casefile.js");
  const { startCore } = await import("../../../static/core/runtime.js");
  await emptyDevice();
  await enrolHere();
  const broken = await keepRecord(registration("Ilse Hartnoll"));
  const reading = await keepRecord(whiteToWhite(broken.payload.person));
  const row = (await allOf("records")).find(({ id }) => id === reading.id);
  await withDatabase((database) => database.put("records", { ...row, box: { ...row.box, bytes: row.box.bytes.slice(1) } }));
  const other = await keepRecord(registration("Oda Brandreth"));
  const folded = new Promise((resolve) => onSummary((person) => person === other.payload.person && resolve(person)));
  keepSummariesFresh();
  startCore();
  await folded;
  const rows = await peopleAt("saltpan");
  assert.deepEqual(rows.map(({ name, unreadable }) => [name, unreadable]), [
    ["Ilse Hartnoll", true],
    ["Oda Brandreth", false],
  ]);
  assert.equal(rows[1]?.summary.eyes.R.state, "measuring");
});
