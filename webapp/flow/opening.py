"""Opening what a phone sent: form, rules and signature, before any transaction begins."""

import hashlib
from typing import Any, NamedTuple

from webapp.flow.refusal import Refused
from webapp.records import canonical
from webapp.records.envelope import Record, from_base64url, open_envelope, record_id
from webapp.records.errors import BadRecord
from webapp.records.signing import verify
from webapp.store import devices

NUL = b"\\u0000"
"""How canonical bytes write a character that PostgreSQL cannot look for; no good record has one."""


class Opened(NamedTuple):
    """One envelope as far as it could be opened."""

    id: str
    """Id of the payload bytes; of the whole text when there are none."""
    record: Record | None
    """Set when the signature is genuine, even if the content breaks a rule."""
    device: devices.Device | None
    refusal: Refused | None


def open_all(envelopes: list[object]) -> list[Opened]:
    """Open envelopes in order; none of them can stop the others."""
    records = [_open(envelope) for envelope in envelopes]
    known = devices.among({record.kid for _, record, _ in records if record})
    return [_verified(opened, known) for opened in records]


def _open(envelope: object) -> tuple[str, Record | None, Refused | None]:
    """Return id, record and refusal: both set for a whole record that breaks a rule."""
    try:
        record = open_envelope(envelope)
    except BadRecord as bad:
        refusal = Refused("record.bad", bad.message, bad.field)
        return _read_loosely(envelope, refusal)
    return record.id, record, None


def _read_loosely(envelope: object, refusal: Refused) -> tuple[str, Record | None, Refused | None]:
    """Read who signed a refused record and its place in the chain, if it says so at all."""
    try:
        fields: dict[str, Any] = envelope if isinstance(envelope, dict) else {}
        payload_bytes = from_base64url(fields.get("p"), "p")
        signature = from_base64url(fields.get("sig"), "sig")
    except BadRecord:
        return _id_of_text(envelope), None, refusal
    found_id = record_id(payload_bytes)
    try:
        payload = canonical.decode(payload_bytes)
    except BadRecord:
        return found_id, None, refusal
    if not isinstance(payload, dict) or not _has_place(payload, fields.get("kid")):
        return found_id, None, refusal
    if NUL in payload_bytes:
        return found_id, None, refusal
    kid = str(payload["key"])
    return found_id, Record(found_id, payload, payload_bytes, kid, signature), refusal


def _id_of_text(envelope: object) -> str:
    """Return an id for what holds no payload bytes, however deep it is nested."""
    try:
        text = repr(envelope)
    except RecursionError:
        text = "nested too deep"
    return hashlib.sha256(text.encode()).hexdigest()


def _has_place(payload: dict[str, Any], kid: object) -> bool:
    return (
        isinstance(kid, str)
        and payload.get("key") == kid
        and type(payload.get("seq")) is int
        and "prev" in payload
        and isinstance(payload["prev"], str | None)
    )


def _verified(
    opened: tuple[str, Record | None, Refused | None], known: dict[str, devices.Device]
) -> Opened:
    found_id, record, refusal = opened
    if record is None:
        return Opened(found_id, None, None, refusal)
    device = known.get(record.kid)
    if device is None:
        unknown = Refused("key.unknown", "This device is not enrolled here. Sign in and enrol it.")
        return Opened(found_id, None, None, unknown)
    try:
        verify(bytes(device.spki), record.payload_bytes, record.signature)
    except BadRecord as bad:
        return Opened(found_id, None, None, Refused("signature.bad", bad.message, bad.field))
    return Opened(found_id, record, device, refusal)
