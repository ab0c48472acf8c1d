"""Receiving: what is stored, what is turned away and why, and that nothing signed is lost."""

import hashlib

import pytest

from tests.flow.receiving import WIDTH, code
from tests.hospital import (
    CATALOGUE,
    Hospital,
    Phone,
    person_body,
    width_body,
)
from webapp.flow import key_authority
from webapp.flow.actor import RoleAt
from webapp.flow.key_authority import Revocation
from webapp.flow.refusal import Refused
from webapp.records.envelope import from_base64url, to_base64url
from webapp.store import devices, journal
from webapp.store.quarantine import RefusedRecord


@pytest.fixture
def phone(hospital: Hospital) -> Phone:
    """Return the Saltpan optometrist's phone."""
    return hospital.phone("ambler", "saltpan")


class TestStored:
    """A record that meets every rule."""

    def test_is_numbered_densely_per_site_in_order(self, hospital: Hospital, phone: Phone) -> None:
        """Numbers run 1, 2, 3 at a site whatever another site receives in between."""
        person = phone.register()
        other = hospital.phone("quill", "upper-glen")
        other.register()
        first, second = phone.push(
            phone.record(WIDTH, person, "R", width_body()),
            phone.record(WIDTH, person, "L", width_body()),
        )
        assert (first.n, second.n) == (2, 3)
        assert journal.head("saltpan") == 3
        assert journal.head("upper-glen") == 1

    def test_keeps_the_bytes_that_were_signed(self, phone: Phone) -> None:
        """The payload comes out of the journal byte for byte, and its hash is its id."""
        person = phone.register()
        envelope = phone.record(WIDTH, person, "R", width_body())
        (receipt,) = phone.push(envelope)
        stored = journal.entries_by_id([receipt.id])[receipt.id]
        assert stored.payload == from_base64url(envelope["p"], "p")
        assert hashlib.sha256(stored.payload).hexdigest() == receipt.id

    def test_sent_twice_is_known_and_stored_once(self, phone: Phone) -> None:
        """A lost answer costs a resend: same number, no second row."""
        person = phone.register()
        envelope = phone.record(WIDTH, person, "R", width_body())
        (first,) = phone.push(envelope)
        again, twice = phone.push(envelope, envelope)
        assert [again.result, twice.result] == ["known", "known"]
        assert first.n == again.n == twice.n
        assert journal.head("saltpan") == 2

    def test_a_batch_may_cross_sites(self, hospital: Hospital, phone: Phone) -> None:
        """One key's chain runs on when its owner works at another camp."""
        person = phone.register()
        phone.site = "north-quay"
        elsewhere = phone.record(
            "person.registered", "0193a5c0-0000-7000-8000-00000000000a", None, person_body()
        )
        phone.site = "saltpan"
        receipts = phone.push(elsewhere, phone.record(WIDTH, person, "R", width_body()))
        assert [receipt.result for receipt in receipts] == ["stored", "stored"]
        assert [receipt.n for receipt in receipts] == [1, 2]

    def test_a_batch_too_large_is_refused_whole(self, hospital: Hospital) -> None:
        """More than two hundred records are not even looked at."""
        with pytest.raises(Refused, match="200"):
            hospital.phone().push(*[{"p": "", "kid": "", "sig": ""}] * 201)


class TestForged:
    """What no enrolled phone can have made."""

    def test_one_changed_byte(self, phone: Phone) -> None:
        """A changed value under the old signature is not stored, not even apart."""
        person = phone.register()
        envelope = phone.record(WIDTH, person, "R", width_body(11600))
        changed = from_base64url(envelope["p"], "p").replace(b"11600", b"12600")
        (receipt,) = phone.push({**envelope, "p": to_base64url(changed)})
        assert code(receipt) == "signature.bad"
        assert RefusedRecord.select().count() == 0

    def test_an_unknown_key(self, hospital: Hospital, phone: Phone) -> None:
        """A key that was never enrolled signs for nobody."""
        person = phone.register()
        envelope = phone.record(WIDTH, person, "R", width_body())
        devices.DeviceRow.delete().where(devices.DeviceRow.kid == phone.kid).execute()
        (receipt,) = phone.push(envelope)
        assert code(receipt) == "key.unknown"

    @pytest.mark.parametrize(
        "envelope", [None, 7, {}, {"p": "a", "kid": "b", "sig": "c"}, {"p": 1, "kid": 2, "sig": 3}]
    )
    def test_nonsense_is_refused_and_stops_nothing(self, phone: Phone, envelope: object) -> None:
        """A broken envelope gets its own receipt; the one after it is stored."""
        good = phone.record(
            "person.registered", "0193a5c0-0000-7000-8000-00000000000b", None, person_body()
        )
        broken, stored = phone.push(envelope, good)
        assert code(broken) == "record.bad"
        assert stored.result == "stored"


class TestWho:
    """Only the key's owner, in a role they hold at that site."""

    def test_another_author(self, phone: Phone) -> None:
        """A record in a colleague's name is refused."""
        person = phone.register()
        (receipt,) = phone.push(phone.record(WIDTH, person, "R", width_body(), author="u-quill"))
        assert code(receipt) == "author.other"

    def test_a_revoked_key(self, hospital: Hospital, phone: Phone) -> None:
        """Whatever its clock says, a record that arrives after the revocation is kept apart."""
        person = phone.register()
        key_authority.revoke(hospital.actor("rook"), phone.kid, Revocation("lost", None))
        (receipt,) = phone.push(phone.record(WIDTH, person, "R", width_body()))
        assert code(receipt) == "key.revoked"

    def test_a_role_not_held(self, phone: Phone) -> None:
        """An optometrist cannot write as a surgeon."""
        person = phone.register()
        (receipt,) = phone.push(phone.record(WIDTH, person, "R", width_body(), role="surgeon"))
        assert code(receipt) == "role.not_held"

    def test_another_site(self, phone: Phone) -> None:
        """A person registered at a camp where the author does not work."""
        phone.site = "upper-glen"
        (receipt,) = phone.push(
            phone.record(
                "person.registered", "0193a5c0-0000-7000-8000-00000000000d", None, person_body()
            )
        )
        assert code(receipt) == "site.not_yours"

    def test_handed_in_by_a_colleague(self, hospital: Hospital, phone: Phone) -> None:
        """Who carries a record does not matter, if they work at its site; who signed it does."""
        person = phone.register()
        envelope = phone.record(WIDTH, person, "R", width_body())
        (receipt,) = hospital.phone("verrill", "saltpan").push(envelope)
        assert receipt.result == "stored"

    def test_a_desk_record_from_a_phone(self, hospital: Hospital) -> None:
        """Only the desk's pages adopt a catalogue, even for an administrator with a key."""
        fenn = hospital.actor("fenn")
        rook = fenn._replace(user_id="u-rook", roles=(RoleAt("administrator", "harbour"),))
        phone = Phone(rook._replace(roles=fenn.roles), "administrator", "all")
        (receipt,) = phone.push(phone.record("catalogue.adopted", None, None, CATALOGUE))
        assert code(receipt) == "kind.signer"

    def test_a_site_that_is_none(self, phone: Phone) -> None:
        """A record filed where nobody works would be on nobody's list."""
        phone.site = "no-such-camp"
        person = "0193a5c0-0000-7000-8000-00000000000f"
        (receipt,) = phone.push(phone.record("person.registered", person, None, person_body()))
        assert code(receipt) == "site.unknown"


class TestPerson:
    """Records are about a registered person, at the site where they are registered."""

    def test_not_registered(self, phone: Phone) -> None:
        """A reading of nobody is refused."""
        (receipt,) = phone.push(
            phone.record(WIDTH, "0193a5c0-0000-7000-8000-00000000000e", "R", width_body())
        )
        assert code(receipt) == "person.unknown"

    def test_registered_twice(self, phone: Phone) -> None:
        """A second registration must correct the first."""
        person = phone.register()
        (receipt,) = phone.push(phone.record("person.registered", person, None, person_body()))
        assert code(receipt) == "person.twice"

    def test_registered_elsewhere(self, phone: Phone) -> None:
        """A record filed under another camp would tear the person's file in two."""
        person = phone.register()
        phone.site = "north-quay"
        (receipt,) = phone.push(phone.record(WIDTH, person, "R", width_body()))
        assert code(receipt) == "person.elsewhere"
