// Runs the calculation core on this page's main thread, where the browser can be slowed down; and
// beside it the app's own worker, where it cannot. `built.json` names the app's files.
const built = await (await fetch("/built.json")).json();
const { loadMicroPython } = await import(built.micropython);
const { files } = await (await fetch(built.coreUrl)).json();

const python = await loadMicroPython({ url: built.wasmUrl, heapsize: 16 * 1024 * 1024 });
for (const [path, text] of Object.entries(files)) {
  python.FS.mkdirTree(`/${path.slice(0, path.lastIndexOf("/"))}`);
  python.FS.writeFile(`/${path}`, text);
}
python.runPython('import sys\nsys.path.append("/")\nfrom webapp.core.door import call');
const call = python.globals.get("call");

const worker = new Worker(built.workerUrl, { type: "module" });
const heard = () =>
  new Promise((resolve) => {
    worker.addEventListener("message", ({ data }) => resolve(data), { once: true });
  });
const ready = heard();
worker.postMessage({ do: "start", ...built });
const started = await ready;
if (started.is !== "ready") throw new Error(started.why);

/** Return [milliseconds, answer text] of one request on the main thread. */
globalThis.onMainThread = (text) => {
  const began = performance.now();
  const answer = call(text);
  return [performance.now() - began, answer];
};

/** Return [milliseconds, answer text] of one request to the worker, there and back. */
globalThis.inWorker = async (text) => {
  const began = performance.now();
  const answered = heard();
  worker.postMessage({ do: "call", id: 1, text });
  const { text: answer } = await answered;
  return [performance.now() - began, answer];
};

globalThis.isReady = true;
