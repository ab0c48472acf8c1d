"""Bodies that travel compressed: what a phone sends, bounded, and what it is answered."""

import gzip
import zlib

from flask import Response, request

from webapp.access.gate import LARGEST_PUSH
from webapp.flow.refusal import Refused

GZIP = zlib.MAX_WBITS | 16
LARGEST_RATIO = 100
"""Records are hashes and signatures: they shrink to about a quarter, never to a hundredth."""
SLACK_BYTES = 64 * 1024
"""What a body may unpack to whatever its ratio."""
WORTH_BYTES = 2_000
LEVEL = 1
"""Of compression for answers: the quickest, as each phone waits for its own page."""


def request_body() -> bytes:
    """Return the body of this request, unpacked if it says that it is gzip.

    Raises:
        Refused: another encoding, no whole gzip, or it unpacks to more than is believable.
    """
    sent = request.get_data()
    encoding = request.headers.get("Content-Encoding", "identity").strip().lower()
    if encoding == "identity":
        return sent
    if encoding != "gzip":
        raise Refused("request.encoding", "Send the body as it is, or as gzip.")
    return unpacked(sent, min(LARGEST_PUSH, SLACK_BYTES + LARGEST_RATIO * len(sent)))


def unpacked(data: bytes, largest: int) -> bytes:
    """Return what one gzip member holds; never makes more than ``largest`` bytes of it."""
    unpacker = zlib.decompressobj(GZIP)
    try:
        found = unpacker.decompress(data, largest)
    except zlib.error as error:
        raise Refused("request.bad", "The body is not gzip.") from error
    if unpacker.unconsumed_tail:
        raise Refused("request.too_large", "The body unpacks to more than the base takes at once.")
    if not unpacker.eof or unpacker.unused_data:
        raise Refused("request.bad", "The body is not one whole gzip.")
    return found


def answer(body: bytes) -> Response:
    """Return JSON as an answer, compressed where the caller takes that and it is worth it."""
    response = Response(body, mimetype="application/json")
    response.vary.add("Accept-Encoding")
    if len(body) >= WORTH_BYTES and request.accept_encodings["gzip"] > 0:
        response.set_data(gzip.compress(body, LEVEL, mtime=0))
        response.headers["Content-Encoding"] = "gzip"
    return response
