"""Whatever is handed in as a record: one receipt each, nothing changed is stored, nothing stops."""

import sys
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from tests.hospital import Hospital, person_body, width_body
from webapp.records import canonical
from webapp.records.envelope import from_base64url, record_id, to_base64url
from webapp.store import journal

PERSON = "0193a5c0-0000-7000-8000-00000000000f"
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=6,
)
# The database behind it stays the same from example to example: a push is idempotent.
ONE_HOSPITAL = settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=60
)


def stored(hospital: Hospital) -> list[tuple[str, bytes]]:
    """Return id and bytes of all that is in the journal of the site."""
    return [(entry.id, entry.payload) for entry in journal.entries_after("saltpan", 0, 10_000)]


@ONE_HOSPITAL
@given(
    member=st.sampled_from(["p", "sig", "kid"]), place=st.integers(0, 5000), bit=st.integers(0, 7)
)
@example(member="sig", place=0, bit=0)
@example(member="p", place=7, bit=0)
def test_a_flipped_bit_is_never_stored(
    hospital: Hospital, member: str, place: int, bit: int
) -> None:
    """A bit of the payload, the signature or the key's name changed on the way."""
    phone = hospital.phone()
    envelope = phone.record("person.registered", PERSON, None, person_body())
    data = bytearray(
        envelope["kid"].encode() if member == "kid" else from_base64url(envelope[member], member)
    )
    data[place % len(data)] ^= 1 << bit
    changed = data.decode("latin-1") if member == "kid" else to_base64url(bytes(data))
    before = stored(hospital)
    (receipt,) = phone.push({**envelope, member: changed})
    assert receipt.result == "refused"
    assert receipt.reason is not None
    assert stored(hospital) == before


@ONE_HOSPITAL
@given(odd=JSON, member=st.sampled_from(["", "p", "sig", "kid", "more"]))
def test_any_value_gets_its_receipt_and_stops_nothing(
    hospital: Hospital, odd: object, member: str
) -> None:
    """Any JSON in place of an envelope or a member of it; the good record after it is kept."""
    phone = hospital.phone()
    if not stored(hospital):
        phone.keep("person.registered", PERSON, None, person_body())
    good = phone.record("reading.white_to_white", PERSON, "R", width_body())
    bad: Any = {**good, member: odd} if member else odd
    before = len(stored(hospital))
    refused, kept = phone.push(bad, good)
    assert (refused.result, kept.result) == ("refused", "stored")
    assert len(stored(hospital)) == before + 1
    for found_id, payload in stored(hospital):
        assert record_id(payload) == found_id


@pytest.mark.parametrize("field", ["key", "person", "replaces", "target", "serial"])
def test_a_nul_in_what_is_looked_up_stops_nothing(hospital: Hospital, field: str) -> None:
    """PostgreSQL knows no such character; the good record beside it is kept."""
    phone, other = hospital.phone(), hospital.phone("verrill")
    payload = phone.payload("surgery.implanted", PERSON, "R", {"serial": "TI-1", "target": None})
    place: dict[str, Any] = payload["body"] if field in payload["body"] else payload
    place[field] = "TI-1\0"
    data = canonical.encode(payload)
    bad = {
        "p": to_base64url(data), "kid": str(payload["key"]),
        "sig": to_base64url(phone.key.sign(data)),
    }  # fmt: skip
    good = other.record("person.registered", PERSON, None, person_body())
    refused, kept = phone.push(bad, good)
    assert (refused.result, kept.result) == ("refused", "stored")


def test_however_deep_it_is_nested(hospital: Hospital) -> None:
    """What the reader of JSON still reads may be too deep to be written again."""
    depth, phone = sys.getrecursionlimit() * 2, hospital.phone()
    bad: list[object] = []
    for _ in range(depth):
        bad = [bad]
    good = phone.record("person.registered", PERSON, None, person_body())
    refused, kept = phone.push(bad, good)
    assert (refused.result, kept.result) == ("refused", "stored")
