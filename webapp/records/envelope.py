"""The envelope: payload bytes, the key's id and the signature, as they travel and are kept.

The payload bytes are never made again to be verified; they are carried, and read strictly.
"""

import base64
import binascii
import hashlib
import re
from typing import NamedTuple

from webapp.records import canonical
from webapp.records.canonical import JsonValue
from webapp.records.errors import BadRecord
from webapp.records.kinds import Payload, check_payload
from webapp.records.signing import DeskKey, key_id, verify

_TO_BASE64 = bytes.maketrans(b"-_", b"+/")
_ID = re.compile(r"[0-9a-f]{64}")


class Record(NamedTuple):
    """One opened record: its id, what it says, and the bytes that were signed."""

    id: str
    payload: Payload
    payload_bytes: bytes
    kid: str
    signature: bytes


def record_id(payload_bytes: bytes) -> str:
    """Return the id of a record: lower-case hex SHA-256 of its payload bytes."""
    return hashlib.sha256(payload_bytes).hexdigest()


def digest_of(shown: JsonValue) -> str:
    """Return the check code of what a person was shown: hex SHA-256 of its canonical bytes."""
    return hashlib.sha256(canonical.encode(shown)).hexdigest()


def open_envelope(envelope: object) -> Record:
    """Return the record in an envelope, with every rule checked but the signature.

    Whoever knows the key calls ``verify_record`` next.

    Raises:
        BadRecord: the envelope, the payload's form or what it says is wrong.
    """
    if not isinstance(envelope, dict) or set(envelope) != {"p", "kid", "sig"}:
        raise BadRecord("envelope", "An envelope holds exactly p, kid and sig.")
    payload_bytes = from_base64url(envelope["p"], "p")
    signature = from_base64url(envelope["sig"], "sig")
    kid = envelope["kid"]
    if not isinstance(kid, str) or not _ID.fullmatch(kid):
        raise BadRecord("kid", "The key's id is not 64 hexadecimal digits.")
    payload = _read(payload_bytes)
    if payload["key"] != kid:
        raise BadRecord("kid", "The record names another key than its envelope.")
    return Record(record_id(payload_bytes), payload, payload_bytes, kid, signature)


def verify_record(record: Record, spki: bytes) -> None:
    """Accept the signature of an opened record under a public key (SPKI DER), or refuse it.

    Raises:
        BadRecord: it is another key, or the signature does not match.
    """
    if key_id(spki) != record.kid:
        raise BadRecord("kid", "The record was signed by another key.")
    verify(spki, record.payload_bytes, record.signature)


def seal(payload: Payload, key: DeskKey) -> dict[str, str]:
    """Return the envelope of a checked payload, signed by the desk key.

    Raises:
        BadRecord: the payload breaks a rule, or names another key.
    """
    payload_bytes = canonical.encode(payload)
    _read(payload_bytes)
    if payload["key"] != key.kid:
        raise BadRecord("key", "The record names another key than the one that signs it.")
    signature = key.sign(payload_bytes)
    return {"p": to_base64url(payload_bytes), "kid": key.kid, "sig": to_base64url(signature)}


def to_base64url(data: bytes) -> str:
    """Return bytes as base64url text without padding (RFC 4648, 5)."""
    return base64.urlsafe_b64encode(data).rstrip(b"=").decode("ascii")


def from_base64url(text: object, field: str) -> bytes:
    """Return the bytes of base64url text, which must be the one text for them.

    Raises:
        BadRecord: not text, a strange character, padding, or spare bits that are set.
    """
    # Letters of the other alphabet and padding; the strict decoder finds whatever else is wrong.
    if not isinstance(text, str) or not text.isascii() or any(sign in text for sign in "+/="):
        raise BadRecord(field, "This is not base64url text without padding.")
    padded = text.encode().translate(_TO_BASE64) + b"=" * (-len(text) % 4)
    try:
        data = binascii.a2b_base64(padded, strict_mode=True)
    except binascii.Error as error:
        raise BadRecord(field, "This is not base64url text without padding.") from error
    # Only the last group of four can have spare bits.
    last = (len(data) - 1) // 3
    if to_base64url(data[3 * last :]) != text[4 * last :]:
        raise BadRecord(field, "This is not the standard base64url text of its bytes.")
    return data


def _read(payload_bytes: bytes) -> Payload:
    payload = check_payload(canonical.decode(payload_bytes))
    body = payload["body"]
    if "shown" in body and body["digest"] != digest_of(body["shown"]):
        raise BadRecord("digest", "The check code does not belong to what was shown.")
    return payload
