/** Write a brotli copy beside each file named on the command line; print path -> its size. */

import { readFileSync, writeFileSync } from "node:fs";
import { brotliCompressSync, constants } from "node:zlib";

/** @type {Record<string, number>} */
const sizes = {};
for (const path of process.argv.slice(2)) {
  const content = readFileSync(path);
  const params = {
    [constants.BROTLI_PARAM_QUALITY]: constants.BROTLI_MAX_QUALITY,
    [constants.BROTLI_PARAM_LGWIN]: constants.BROTLI_MAX_WINDOW_BITS,
    [constants.BROTLI_PARAM_SIZE_HINT]: content.length,
  };
  const compressed = brotliCompressSync(content, { params });
  writeFileSync(`${path}.br`, compressed);
  sizes[path] = compressed.length;
}
process.stdout.write(JSON.stringify(sizes));
