"""What tests of receiving share: why a record was refused, and a record no phone would sign."""

import hashlib
from typing import Any

from tests.hospital import (
    Phone,
)
from webapp.flow.receive import Receipt
from webapp.records import canonical
from webapp.records.envelope import to_base64url

WIDTH = "reading.white_to_white"


def code(receipt: Receipt) -> str:
    """Return why a record was refused."""
    assert receipt.result == "refused", receipt
    assert receipt.n is None
    assert receipt.reason is not None
    assert receipt.reason.message.endswith("."), receipt.reason.message
    return receipt.reason.code


def signed_unchecked(
    phone: Phone, kind: str, person: str, eye: str, body: dict[str, Any]
) -> dict[str, str]:
    """Sign what the phone's own check would stop: this phone runs other code."""
    payload = phone.payload(kind, person, eye, body)
    data = canonical.encode(payload)
    phone.seq, phone.prev = payload["seq"], hashlib.sha256(data).hexdigest()
    return {"p": to_base64url(data), "kid": phone.kid, "sig": to_base64url(phone.key.sign(data))}
