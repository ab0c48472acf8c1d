/**
 * The only two script addresses the app may start by name: its service worker and its core.
 *
 * The pages' security policy refuses every other one, so that no text can become a script.
 */
const ALLOWED = new Set(["/sw.js", __BUILD__.workerUrl]);

/** @type {{ createPolicy: (name: string, rules: object) => { createScriptURL: (path: string) => unknown } } | undefined} */
const trustedTypes = /** @type {any} */ (globalThis).trustedTypes;

/** @param {string} path */
function onlyAllowed(path) {
  if (!ALLOWED.has(path)) throw new TypeError(`${path} is not a script of this app`);
  return path;
}

const policy = trustedTypes?.createPolicy("lampside-static", { createScriptURL: onlyAllowed });

/**
 * Return `path` in the form the browser lets a script be started from.
 *
 * @param {string} path
 * @returns {unknown} a TrustedScriptURL, or the text where the browser knows no such thing
 */
export function scriptUrl(path) {
  return policy ? policy.createScriptURL(path) : onlyAllowed(path);
}
