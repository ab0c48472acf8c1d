// Answers requests about the core, one JSON line each, from MicroPython in WebAssembly.
// Arguments: the folder of the MicroPython package, then the files to put into its file system
// as pairs of (path there, path here).
import { readFile } from "node:fs/promises";
import path from "node:path";
import process from "node:process";
import readline from "node:readline";
import { pathToFileURL } from "node:url";

const [packageFolder, ...files] = process.argv.slice(2);
const entry = pathToFileURL(path.join(packageFolder, "micropython.mjs"));
const { loadMicroPython } = await import(entry.href);
const python = await loadMicroPython({
  url: path.join(packageFolder, "micropython.wasm"),
  heapsize: 8 * 1024 * 1024,
});

const made = new Set();
for (let index = 0; index < files.length; index += 2) {
  const there = files[index];
  const folders = path.posix.dirname(there).split("/");
  for (let depth = 1; depth <= folders.length; depth += 1) {
    const folder = folders.slice(0, depth).join("/");
    if (folder !== "." && !made.has(folder)) python.FS.mkdir(folder);
    made.add(folder);
  }
  python.FS.writeFile(there, await readFile(files[index + 1], "utf8"));
}
python.runPython("import sys\nsys.path.append('/home/web_user')\nfrom core_bridge import call");
const call = python.globals.get("call");

for await (const line of readline.createInterface({ input: process.stdin })) {
  process.stdout.write(`${call(line)}\n`);
}
