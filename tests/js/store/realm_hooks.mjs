/** Loads the app's modules once for each realm: what a module of `?realm=N` imports is of that realm. */

/**
 * @param {string} specifier
 * @param {{ parentURL?: string }} context
 * @param {(specifier: string, context: object) => Promise<{ url: string }>} next
 */
export async function resolve(specifier, context, next) {
  const found = await next(specifier, context);
  const realm = /\?realm=\d+$/.exec(context.parentURL ?? "")?.[0];
  const isOwn = /\/static\/(?!node_modules\/)[^?]*\.js$/.test(found.url);
  return realm && isOwn ? { ...found, url: found.url + realm } : found;
}
