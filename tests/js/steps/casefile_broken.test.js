/** Folding beside what cannot be folded: records that do not open, or that lie at the base. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { otherDevice, pageOf } from "../store/base.js";
import { allOf, emptyDevice, enrolHere, registration, whiteToWhite } from "../store/device.js";
import { withDatabase } from "../../../static/store/idb.js";
import { keepRecord } from "../../../static/store/journal.js";
import { keepKeys } from "../../../static/store/keys.js";
import { storePage } from "../../../static/store/pages.js";
import { peopleAt } from "../../../static/store/people.js";
import { putOffPerson } from "../../../static/store/put_off.js";

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

/** The pages' own code, with the thread that stands for the calculation's. */
async function pages() {
  Object.assign(globalThis, {
    Worker: Thread,
    __BUILD__: { coreSha256: "c", workerUrl: "/w.js", coreUrl: "/c", wasmUrl: "/m" },
  });
  const { startCore } = await import("../../../static/core/runtime.js");
  await emptyDevice();
  await enrolHere();
  return { startCore, ...(await import("../../../static/steps/casefile.js")) };
}

test("whoever comes after them has an account, and the list says who does not open", async () => {
  const { keepSummariesFresh, onSummary, startCore } = await pages();
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

test("half of a joined person whose other half lies at the base is not folded", async () => {
  const { openCasefile, startCore } = await pages();
  startCore();
  const desk = await otherDevice("desk");
  await keepKeys([desk.key]);
  const [away, here] = ["Ilse Hartnoll", "Ilse Hartnol"].map((name) => registration(name));
  const made = [await desk.make({ role: "desk", ...away }), await desk.make({ role: "desk", ...here })];
  await storePage(pageOf(made));
  const [id, other] = [here.person, away.person];
  assert.equal(await putOffPerson(other, null, Date.parse("2027-11-25T05:00:00.000Z")), true);
  assert.equal((await openCasefile(id)).id, id);
  const body = { other, place: "The other camp", compared: "c".repeat(64) };
  const joining = { kind: "person.merged", person: id, eye: null, role: "desk", reason: "Same card", body };
  await storePage(pageOf([await desk.make(joining)], { from: 2 }));
  await assert.rejects(openCasefile(id), /one of the two registrations lie at the base/);
});
