"""Every kind of record, handed in by every role: as it is, and with another role claimed.

What to expect is read from ``kinds.json`` alone. The payloads are those of the vectors, so whatever
is not refused for who wrote it may still be refused for what it says.
"""

import copy
from typing import Any

import pytest

from tests.hospital import Hospital, Phone, set_roles
from tests.records.vectors import read
from webapp.flow import permissions
from webapp.flow.actor import RoleAt
from webapp.flow.receive import LARGEST_BATCH, Receipt
from webapp.records import canonical
from webapp.records.envelope import record_id, to_base64url
from webapp.records.kinds import KINDS, REFERENCE_SITE, may_sign
from webapp.store import journal

PAYLOADS = read("kinds")["payloads"]
SITE = "saltpan"
BY_FORM, BY_SIGNER, BY_ROLE = "record.bad", "kind.signer", "role.not_held"
CLOSED_TO_IT = "site.not_yours"
"""What a role hears that hands in nothing at all."""


def phone_of(hospital: Hospital, role: str) -> Phone:
    """Return a phone of somebody who holds this role and no other, at one camp."""
    phone = hospital.phone("ambler", SITE)
    set_roles("u-ambler", RoleAt(role, SITE))
    phone.actor = phone.actor._replace(roles=(RoleAt(role, SITE),))
    phone.role = role
    return phone


def signed(phone: Phone, kind: str, role: str) -> dict[str, str]:
    """Return the vector's record of a kind as this phone would sign it, however wrong."""
    payload: dict[str, Any] = copy.deepcopy(PAYLOADS[kind])
    payload |= {
        "author": phone.actor.user_id, "role": role, "key": phone.kid,
        "seq": phone.seq + 1, "prev": phone.prev,
    }  # fmt: skip
    if payload["site"] != REFERENCE_SITE:
        payload["site"] = SITE
    payload_bytes = canonical.encode(payload)
    phone.seq, phone.prev = phone.seq + 1, record_id(payload_bytes)
    signature = to_base64url(phone.key.sign(payload_bytes))
    return {"p": to_base64url(payload_bytes), "kid": phone.kid, "sig": signature}


def pushed(phone: Phone, roles: dict[str, str]) -> dict[str, Receipt]:
    """Hand a record of each kind in, each under the role given; return kind -> receipt."""
    envelopes = [signed(phone, kind, role) for kind, role in roles.items()]
    receipts: list[Receipt] = []
    for first in range(0, len(envelopes), LARGEST_BATCH):
        receipts += phone.push(*envelopes[first : first + LARGEST_BATCH])
    return dict(zip(roles, receipts, strict=True))


def code(receipt: Receipt) -> str | None:
    """Return why a record was refused; None where it was stored."""
    return receipt.reason.code if receipt.reason else None


@pytest.mark.parametrize("role", permissions.ROLES)
def test_under_its_own_role(hospital: Hospital, role: str) -> None:
    """A kind is refused by form to a role that may not write it, by the key to a phone."""
    phone = phone_of(hospital, role)
    pushes = phone.actor.may_read(SITE, "record.push")
    for kind, receipt in pushed(phone, dict.fromkeys(KINDS, role)).items():
        if role not in KINDS[kind].roles:
            assert (code(receipt), receipt.reason and receipt.reason.field) == (BY_FORM, "role")
        elif not may_sign(kind, "device"):
            assert code(receipt) == BY_SIGNER, kind
        elif pushes:
            # Whatever else is wrong with it: nobody says that this role may not write it.
            assert code(receipt) not in (BY_FORM, BY_SIGNER, BY_ROLE, CLOSED_TO_IT), kind
        else:
            assert code(receipt) == CLOSED_TO_IT, kind


@pytest.mark.parametrize("role", permissions.ROLES)
def test_under_a_role_that_it_claims(hospital: Hospital, role: str) -> None:
    """A record says the role that its kind asks for; what counts is the role that is held."""
    phone = phone_of(hospital, role)
    claimed = {
        kind: next(one for one in KINDS[kind].roles if one != role)
        for kind in KINDS
        if set(KINDS[kind].roles) != {role}
    }
    before = journal.head(SITE), journal.head(REFERENCE_SITE)
    for kind, receipt in pushed(phone, claimed).items():
        reasons = (BY_ROLE, CLOSED_TO_IT) if may_sign(kind, "device") else (BY_SIGNER,)
        assert code(receipt) in reasons, kind
    assert (journal.head(SITE), journal.head(REFERENCE_SITE)) == before


def test_theatre_writes_what_its_role_is_for(hospital: Hospital) -> None:
    """So that the table above cannot be widened without this line being changed."""
    assert {kind for kind in KINDS if "theatre" in KINDS[kind].roles} == {
        *("theatre.checked", "theatre.confirmed", "box.put_aside"),
        *("surgery.implanted", "surgery.explanted", "record.void"),
        # Signed at the base, for whoever gives a key of their own up.
        "key.closed",
    }
