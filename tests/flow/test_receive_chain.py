"""A key's chain: gaps, forks, and the place that a refused record keeps."""

import pytest

from tests.flow.receiving import WIDTH, code, signed_unchecked
from tests.hospital import (
    Hospital,
    Phone,
    set_roles,
    width_body,
)
from webapp.flow.actor import RoleAt
from webapp.records import canonical
from webapp.records.envelope import from_base64url, to_base64url
from webapp.records.kinds import HEADER
from webapp.store import journal
from webapp.store.chains import ChainHead
from webapp.store.quarantine import RefusedRecord


@pytest.fixture
def phone(hospital: Hospital) -> Phone:
    """Return the Saltpan optometrist's phone."""
    return hospital.phone("ambler", "saltpan")


class TestChain:
    """Each key's records follow one another without a gap."""

    def test_a_gap_waits_for_the_missing_one(self, phone: Phone) -> None:
        """The later record is stored once the earlier one has come."""
        person = phone.register()
        first = phone.record(WIDTH, person, "R", width_body(11600))
        second = phone.record(WIDTH, person, "R", width_body(11700))
        (early,) = phone.push(second)
        assert code(early) == "chain.gap"
        assert [receipt.result for receipt in phone.push(first, second)] == ["stored", "stored"]

    def test_a_second_record_in_the_same_place(self, phone: Phone) -> None:
        """A copied phone that goes on from the same place is noticed."""
        person = phone.register()
        place = {"seq": phone.seq + 1, "prev": phone.prev}
        phone.keep(WIDTH, person, "R", width_body(11600))
        (receipt,) = phone.push(phone.record(WIDTH, person, "R", width_body(11700), **place))
        assert code(receipt) == "chain.fork"

    def test_the_wrong_one_before(self, phone: Phone) -> None:
        """The right number after another record than it names is refused."""
        person = phone.register()
        (receipt,) = phone.push(phone.record(WIDTH, person, "R", width_body(), prev="0" * 64))
        assert code(receipt) == "chain.fork"

    def test_goes_on_after_a_refused_record(self, phone: Phone) -> None:
        """A genuine record that breaks a rule takes its place, kept apart with the reason."""
        person = phone.register()
        stray = phone.record(WIDTH, "0193a5c0-0000-7000-8000-00000000000c", "R", width_body())
        later = phone.record(WIDTH, person, "R", width_body())
        refused, stored = phone.push(stray, later)
        assert code(refused) == "person.unknown"
        assert stored.result == "stored"
        kept = RefusedRecord.get(RefusedRecord.id == refused.id)
        assert bytes(kept.payload) == from_base64url(stray["p"], "p")
        assert kept.code == "person.unknown"
        assert refused.id not in {entry.id for entry in journal.entries_after("saltpan", 0, 100)}

    def test_a_refused_record_is_stored_once_the_cause_is_put_right(
        self, hospital: Hospital, phone: Phone
    ) -> None:
        """A role given later lets the same signed record in, and its chain does not move back."""
        person = phone.register()
        set_roles("u-ambler", RoleAt("optometrist", "north-quay"))
        envelope = phone.record(WIDTH, person, "R", width_body())
        (refused,) = phone.push(envelope)
        assert code(refused) == "role.not_held"
        set_roles("u-ambler", *hospital.actor("ambler").roles)
        later = phone.keep(WIDTH, person, "L", width_body())
        (admitted,) = phone.push(envelope)
        assert admitted.result == "stored"
        assert RefusedRecord.select().count() == 0
        assert ChainHead.get(ChainHead.kid == phone.kid).id == later

    def test_a_record_of_bad_fields_takes_its_place_too(self, phone: Phone) -> None:
        """A genuine record with a value out of range is refused with the field's own sentence."""
        person = phone.register()
        envelope = signed_unchecked(phone, WIDTH, person, "R", width_body(99000))
        later = phone.record(WIDTH, person, "R", width_body())
        refused, stored = phone.push(envelope, later)
        assert code(refused) == "record.bad"
        assert stored.result == "stored"

    @pytest.mark.parametrize("field", HEADER)
    def test_a_record_that_lacks_a_field_stops_nothing(self, phone: Phone, field: str) -> None:
        """Whatever is missing, the record is refused alone, and others in the batch are kept."""
        person = phone.register()
        payload = phone.payload(WIDTH, person, "R", width_body())
        del payload[field]
        data = canonical.encode(payload)
        lacking = {
            "p": to_base64url(data), "kid": phone.kid, "sig": to_base64url(phone.key.sign(data))
        }  # fmt: skip
        colleague = Phone(phone.actor, "optometrist", "saltpan")
        other = colleague.record(WIDTH, person, "R", width_body())
        refused, stored = phone.push(lacking, other)
        assert (code(refused), stored.result) == ("record.bad", "stored")
