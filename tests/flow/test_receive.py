"""Receiving: what is stored, what is turned away and why, and that nothing signed is lost."""

import hashlib
from typing import Any

import pytest

from tests.hospital import (
    ANSWERS,
    CATALOGUE,
    Hospital,
    Phone,
    person_body,
    set_roles,
    width_body,
)
from webapp.flow import key_authority
from webapp.flow.actor import RoleAt
from webapp.flow.key_authority import Revocation
from webapp.flow.receive import Receipt
from webapp.flow.refusal import Refused
from webapp.records import canonical
from webapp.records.envelope import from_base64url, to_base64url
from webapp.records.kinds import HEADER
from webapp.store import devices, journal
from webapp.store.chains import ChainHead
from webapp.store.quarantine import RefusedRecord

WIDTH = "reading.white_to_white"


def code(receipt: Receipt) -> str:
    """Return why a record was refused."""
    assert receipt.result == "refused", receipt
    assert receipt.n is None
    assert receipt.reason is not None
    assert receipt.reason.message.endswith("."), receipt.reason.message
    return receipt.reason.code


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


def signed_unchecked(
    phone: Phone, kind: str, person: str, eye: str, body: dict[str, Any]
) -> dict[str, str]:
    """Sign what the phone's own check would stop: this phone runs other code."""
    payload = phone.payload(kind, person, eye, body)
    data = canonical.encode(payload)
    phone.seq, phone.prev = payload["seq"], hashlib.sha256(data).hexdigest()
    return {"p": to_base64url(data), "kid": phone.kid, "sig": to_base64url(phone.key.sign(data))}


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


class TestCorrections:
    """Replacing and withdrawing: own records, same thing, once."""

    def test_own_reading_is_replaced_with_a_reason(self, phone: Phone) -> None:
        """The correction is stored and the old record stays."""
        person = phone.register()
        old = phone.keep(WIDTH, person, "R", width_body(11600))
        new = phone.keep(WIDTH, person, "R", width_body(11700), replaces=old, reason="slip")
        assert journal.superseded([old]) == {old: new}
        assert old in journal.entries_by_id([old])

    @pytest.mark.parametrize(
        ("eye", "body", "kind"),
        [
            ("L", width_body(), WIDTH),
            ("R", {"thickness_um": 540, "device": "P", "taken": "2026-11-25T04:45:12.120Z",
                   "typed": {}}, "reading.corneal_thickness"),
        ],
    )  # fmt: skip
    def test_of_another_eye_or_quantity(
        self, phone: Phone, eye: str, body: dict[str, Any], kind: str
    ) -> None:
        """A correction never moves a value to the other eye or another quantity."""
        person = phone.register()
        old = phone.keep(WIDTH, person, "R", width_body())
        (receipt,) = phone.push(phone.record(kind, person, eye, body, replaces=old, reason="slip"))
        assert code(receipt) == "target.other"

    def test_of_a_colleagues_reading(self, hospital: Hospital, phone: Phone) -> None:
        """Another person's reading is answered by one's own, not replaced."""
        person = phone.register()
        old = phone.keep(WIDTH, person, "R", width_body())
        surgeon = hospital.phone("verrill", "saltpan")
        (replaced,) = surgeon.push(
            surgeon.record(WIDTH, person, "R", width_body(), replaces=old, reason="mine is right")
        )
        assert code(replaced) == "target.not_own"
        (void,) = surgeon.push(
            surgeon.record("record.void", person, "R", {"target": old}, reason="wrong eye")
        )
        assert code(void) == "target.not_own"

    def test_answers_may_be_corrected_by_a_colleague(
        self, hospital: Hospital, phone: Phone
    ) -> None:
        """What a person answered is a fact about them, not the first asker's own reading."""
        person = phone.register()
        old = phone.keep("history.answers", person, None, dict(ANSWERS))
        surgeon = hospital.phone("verrill", "saltpan")
        changed = {**ANSWERS, "stable_12_months": "no"}
        surgeon.keep("history.answers", person, None, changed, replaces=old, reason="asked again")

    def test_twice(self, phone: Phone) -> None:
        """What was replaced cannot be replaced or withdrawn again."""
        person = phone.register()
        old = phone.keep(WIDTH, person, "R", width_body(11600))
        phone.keep(WIDTH, person, "R", width_body(11700), replaces=old, reason="slip")
        again, void = phone.push(
            phone.record(WIDTH, person, "R", width_body(11800), replaces=old, reason="slip"),
            phone.record("record.void", person, "R", {"target": old}, reason="slip"),
        )
        assert [code(again), code(void)] == ["target.not_live", "target.not_live"]

    def test_twice_in_one_batch(self, phone: Phone) -> None:
        """The second correction of a batch sees the first."""
        person = phone.register()
        old = phone.keep(WIDTH, person, "R", width_body(11600))
        first, second = phone.push(
            phone.record(WIDTH, person, "R", width_body(11700), replaces=old, reason="slip"),
            phone.record(WIDTH, person, "R", width_body(11800), replaces=old, reason="slip"),
        )
        assert first.result == "stored"
        assert code(second) == "target.not_live"

    def test_of_nothing(self, phone: Phone) -> None:
        """A correction of a record that is not here waits for it."""
        person = phone.register()
        (receipt,) = phone.push(
            phone.record(WIDTH, person, "R", width_body(), replaces="0" * 64, reason="slip")
        )
        assert code(receipt) == "target.unknown"

    def test_a_withdrawal_under_another_eye_or_person(self, phone: Phone) -> None:
        """It would leave the page of the eye whose reading it takes away without a word."""
        person, somebody = phone.register(), phone.register(name="Ines Corvane")
        old = phone.keep(WIDTH, person, "R", width_body())
        for named, eye in ((person, "L"), (somebody, "R")):
            body = {"target": old}
            (receipt,) = phone.push(phone.record("record.void", named, eye, body, reason="slip"))
            assert code(receipt) == "target.other"
        phone.keep("record.void", person, "R", {"target": old}, reason="slip")

    def test_a_registration_cannot_be_withdrawn(self, phone: Phone) -> None:
        """A person is corrected, never made to vanish with their readings."""
        person = phone.register()
        (receipt,) = phone.push(
            phone.record("record.void", person, None, {"target": phone.prev}, reason="typed twice")
        )
        assert code(receipt) == "target.kind"
