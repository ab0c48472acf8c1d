/** Proving that the core is the named one and calculates here as it does at the base. */

/**
 * Return the name of a set of core files: the SHA-256 of what `sha256sum` prints for them.
 *
 * @param {Record<string, string>} files path -> text
 * @returns {Promise<string>} lower-case hex
 */
export async function coreIdentity(files) {
  const paths = Object.keys(files).sort();
  const lines = await Promise.all(
    paths.map(async (path) => `${await hexSha256(files[path] ?? "")}  ${path}\n`),
  );
  return hexSha256(lines.join(""));
}

/**
 * Return a line for each self-test whose answer is not exactly the expected one.
 *
 * A list with no test in it proves nothing and counts as a difference.
 *
 * @param {{ call: object, expect: unknown }[]} selftest
 * @param {(text: string) => string} call
 * @returns {string[]}
 */
export function differences(selftest, call) {
  if (selftest.length === 0) return ["there is no self-test"];
  return selftest.flatMap((test, index) => {
    const expected = sorted(test.expect);
    const found = sorted(JSON.parse(call(JSON.stringify(test.call))));
    return found === expected ? [] : [`number ${index + 1}`];
  });
}

/** @param {unknown} value */
function sorted(value) {
  return JSON.stringify(value, (_key, part) =>
    part && typeof part === "object" && !Array.isArray(part)
      ? Object.fromEntries(Object.entries(part).sort(byName))
      : part,
  );
}

/**
 * @param {[string, unknown]} a
 * @param {[string, unknown]} b
 */
function byName([a], [b]) {
  return a < b ? -1 : 1;
}

/** @param {string} text */
async function hexSha256(text) {
  const digest = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(text));
  return [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}
