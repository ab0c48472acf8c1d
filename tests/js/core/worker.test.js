/** The core's worker, run with the real MicroPython on small cores made for each test. */
import assert from "node:assert/strict";
import { EventEmitter, once } from "node:events";
import { beforeEach, test } from "node:test";
import { fileURLToPath } from "node:url";
import { coreIdentity } from "../../../static/core/proof.js";

const WASM = "../../../static/node_modules/@micropython/micropython-webassembly-pyscript/micropython.wasm";
const wasmUrl = fileURLToPath(new URL(WASM, import.meta.url));
const ECHO = "import json\ndef call(text):\n    return json.dumps({'got': json.loads(text)})\n";
const files = { "webapp/__init__.py": "", "webapp/core/__init__.py": "", "webapp/core/door.py": ECHO };
const selftest = [{ call: { do: "x" }, expect: { got: { do: "x" } } }];

/** @type {(message: { data: object }) => void} */
let tell;
const heard = new EventEmitter();

/** The worker's world: what it is told, what it says, and the one file it fetches. */
const world = {
  /** @param {string} _type @param {(message: { data: object }) => void} listener */
  addEventListener(_type, listener) {
    tell = listener;
  },
  /** @param {object} message */
  postMessage: (message) => heard.emit("message", message),
};
Object.assign(globalThis, { self: world });
await import("../../../static/core/worker.js");

/**
 * @param {{ files: Record<string, string>, selftest: object[] }} bundle
 * @param {string} sha256
 */
async function start(bundle, sha256) {
  globalThis.fetch = async () => Response.json(bundle);
  const message = once(heard, "message");
  tell({ data: { do: "start", coreUrl: "/core/x.json", sha256, wasmUrl } });
  return (await message)[0];
}

beforeEach(() => heard.removeAllListeners());

test("a core that proves itself answers in JSON text", async () => {
  const sha256 = await coreIdentity(files);
  assert.deepEqual(await start({ files, selftest }, sha256), { is: "ready", sha256 });
  const answer = once(heard, "message");
  tell({ data: { do: "call", id: 7, text: '{"n":4294967296,"word":"é"}' } });
  const [{ id, text }] = await answer;
  assert.equal(id, 7);
  assert.deepEqual(JSON.parse(text), { got: { n: 4294967296, word: "é" } });
});

test("files that are not the named ones are not run", async () => {
  const { is, why } = await start({ files, selftest }, "0".repeat(64));
  assert.equal(is, "failed");
  assert.match(why, /not the ones this app was built with/);
});

test("a self-test that differs keeps the core from answering", async () => {
  const wrong = [{ call: { do: "x" }, expect: { got: { do: "y" } } }];
  const { is, why } = await start({ files, selftest: wrong }, await coreIdentity(files));
  assert.equal(is, "failed");
  assert.match(why, /self-test differs: number 1/);
});

test("a core with an error in it fails with its reason", async () => {
  const broken = { ...files, "webapp/core/door.py": "def call(text):\n    return missing\n" };
  const { is, why } = await start({ files: broken, selftest }, await coreIdentity(broken));
  assert.equal(is, "failed");
  assert.match(why, /missing/);
});
