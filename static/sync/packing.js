/** Compressing what is sent: camps have thin lines, and records of one kind look alike. */

/** Shorter texts are not worth it. */
const WORTH_CHARS = 1_000;

/**
 * Return a text as the body of a request, with the header that says how it is packed.
 *
 * @param {string} text
 * @returns {Promise<{ body: BodyInit, headers: Record<string, string> }>}
 */
export async function packed(text) {
  if (text.length < WORTH_CHARS || !("CompressionStream" in globalThis)) {
    return { body: text, headers: {} };
  }
  const stream = new Blob([text]).stream().pipeThrough(new CompressionStream("gzip"));
  const body = await new Response(stream).arrayBuffer();
  return { body, headers: { "Content-Encoding": "gzip" } };
}
