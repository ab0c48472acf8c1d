"""Records kept apart: used in nothing, shown to those of the site, adopted one by one or left."""

import hashlib

import pytest

from tests.hospital import WALL, Hospital, Phone, person_body, plan_of, width_body
from webapp.demo_people import PASSPHRASE
from webapp.flow import desk_record, kept_apart, key_authority
from webapp.flow.desk_key import desk_key
from webapp.flow.desk_record import Draft
from webapp.flow.key_authority import Revocation
from webapp.flow.refusal import NotFound, Refused
from webapp.records.draft import Correction, Link, Subject, Writer, draft
from webapp.records.envelope import from_base64url, open_envelope, seal
from webapp.store import chains, database, journal
from webapp.store.quarantine import RefusedRecord

WIDTH = "reading.white_to_white"
WHY = "Confirmed with the person, read again the same."


@pytest.fixture
def phone(hospital: Hospital) -> Phone:
    """Return the Saltpan optometrist's phone."""
    return hospital.phone("ambler", "saltpan")


def late_reading(hospital: Hospital, phone: Phone, person: str) -> dict[str, str]:
    """Return a reading that arrives after its key was revoked, and hand it in."""
    envelope = phone.record(WIDTH, person, "R", width_body())
    key_authority.revoke(hospital.actor("rook"), phone.kid, Revocation("lost", None))
    (receipt,) = phone.push(envelope)
    assert receipt.reason is not None
    assert receipt.reason.code == "key.revoked"
    return envelope


def decide(hospital: Hospital, record_id: str, decision: str, name: str = "verrill") -> None:
    """Decide as a surgeon who gives the passphrase."""
    kept_apart.decide(hospital.actor(name), record_id, decision, WHY, PASSPHRASE)


def refusal_of(hospital: Hospital, record_id: str, name: str = "verrill") -> str:
    """Return why adopting is refused."""
    with pytest.raises(Refused) as refused:
        decide(hospital, record_id, "adopt", name)
    return refused.value.code


class TestListing:
    """What the desk shows."""

    def test_says_who_what_and_why(self, hospital: Hospital, phone: Phone) -> None:
        """Owner, device, body and the refusal's own words; adopting is open to a surgeon."""
        person = phone.register()
        late_reading(hospital, phone, person)
        (apart,) = kept_apart.listing(hospital.actor("verrill"))
        assert (apart.author, apart.device, apart.code) == (
            "R. Ambler",
            "test phone",
            "key.revoked",
        )
        assert apart.payload["body"] == width_body()
        assert "revoked" in apart.why
        assert (apart.waits, apart.decision, apart.kept_out) == (False, None, None)

    @pytest.mark.parametrize(("name", "seen"), [("fenn", 1), ("quill", 0), ("rook", 0)])
    def test_only_to_those_of_its_site(
        self, hospital: Hospital, phone: Phone, name: str, seen: int
    ) -> None:
        """Another camp's people and the administrator see no patient's record."""
        late_reading(hospital, phone, phone.register())
        assert len(kept_apart.listing(hospital.actor(name))) == seen

    def test_counts_for_no_plan(self, hospital: Hospital, phone: Phone) -> None:
        """The plan's evidence is the same with and without it."""
        hospital.adopt_reference()
        person = phone.register()
        phone.measure(person, "R")
        before = plan_of(person, "R")["shown"]["evidence"]
        late = open_envelope(late_reading(hospital, phone, person)).id
        after = plan_of(person, "R")["shown"]["evidence"]
        assert (after, late in after) == (before, False)


class TestAdopt:
    """A surgeon takes one reading in."""

    def test_enters_the_journal_as_it_was_signed(self, hospital: Hospital, phone: Phone) -> None:
        """Byte for byte, with the decision as a record beside it, and no longer apart."""
        person = phone.register()
        envelope = late_reading(hospital, phone, person)
        record_id = open_envelope(envelope).id
        decide(hospital, record_id, "adopt")
        entries = journal.entries_after("saltpan", 1, 10)
        stored = next(entry for entry in entries if entry.id == record_id)
        assert stored.payload == from_base64url(envelope["p"], "p")
        assert hashlib.sha256(stored.payload).hexdigest() == record_id
        said = next(entry for entry in entries if entry.kind == "quarantine.decided")
        assert (said.author, said.person) == ("u-verrill", None)
        assert RefusedRecord.select().count() == 0
        (again,) = phone.push(envelope)
        assert again.result == "known"

    def test_is_evidence_from_then_on(self, hospital: Hospital, phone: Phone) -> None:
        """A plan made after the adoption rests on it as on any reading of that eye."""
        hospital.adopt_reference()
        person = phone.register()
        phone.measure(person, "R")
        record_id = open_envelope(late_reading(hospital, phone, person)).id
        decide(hospital, record_id, "adopt")
        assert record_id in plan_of(person, "R")["shown"]["evidence"]

    def test_never_an_approval(self, hospital: Hospital, phone: Phone) -> None:
        """A decision from a revoked key is given again, by somebody who is there."""
        hospital.adopt_reference()
        person = phone.register()
        phone.measure(person, "R")
        request = phone.send_for_plan(person, "R")
        surgeon = hospital.phone("verrill", "saltpan")
        body = surgeon.approval_body(person, "R", request)
        approval = surgeon.record("plan.approval", person, "R", body)
        key_authority.revoke(hospital.actor("rook"), surgeon.kid, Revocation("lost", None))
        surgeon.push(approval)
        record_id = open_envelope(approval).id
        (apart,) = kept_apart.listing(hospital.actor("marsh"))
        assert str(apart.kept_out).startswith("Only readings and registrations are adopted.")
        assert refusal_of(hospital, record_id, "marsh") == "quarantine.kept_out"
        assert record_id not in journal.entries_by_id([record_id])

    def test_no_decision_lets_an_approval_in(self, hospital: Hospital, phone: Phone) -> None:
        """Signed by the desk around its page, it adopts no approval all the same."""
        hospital.adopt_reference()
        person = phone.register()
        phone.measure(person, "R")
        surgeon = hospital.phone("verrill", "saltpan")
        body = surgeon.approval_body(person, "R", phone.send_for_plan(person, "R"))
        approval = surgeon.record("plan.approval", person, "R", body)
        key_authority.revoke(hospital.actor("rook"), surgeon.kid, Revocation("lost", None))
        surgeon.push(approval)
        record_id = open_envelope(approval).id
        decided_by_the_desk(hospital, record_id, "adopt")
        assert record_id not in journal.entries_by_id([record_id])
        assert [one.code for one in kept_apart.listing(hospital.actor("marsh"))] == ["key.revoked"]

    def test_never_ones_own(self, hospital: Hospital) -> None:
        """Whoever made it can't vouch for it."""
        surgeon = hospital.phone("verrill", "saltpan")
        record_id = open_envelope(late_reading(hospital, surgeon, surgeon.register())).id
        assert refusal_of(hospital, record_id) == "quarantine.kept_out"

    def test_only_by_a_surgeon_of_the_site(self, hospital: Hospital, phone: Phone) -> None:
        """The desk reads of it and decides nothing; elsewhere it does not exist."""
        record_id = open_envelope(late_reading(hospital, phone, phone.register())).id
        assert refusal_of(hospital, record_id, "fenn") == "role.missing"
        with pytest.raises(NotFound):
            decide(hospital, record_id, "adopt", "quill")

    def test_with_the_passphrase(self, hospital: Hospital, phone: Phone) -> None:
        """An open desk page decides nothing."""
        record_id = open_envelope(late_reading(hospital, phone, phone.register())).id
        with pytest.raises(Refused) as refused:
            kept_apart.decide(hospital.actor("verrill"), record_id, "adopt", WHY, "guess")
        assert refused.value.code == "passphrase.wrong"

    def test_a_reading_of_nobody_waits_for_its_person(
        self, hospital: Hospital, phone: Phone
    ) -> None:
        """A registration that came too late is adopted first, then the reading it belongs to."""
        person = "0193a5c0-0000-7000-8000-00000000000c"
        registration = phone.record("person.registered", person, None, person_body())
        reading = phone.record(WIDTH, person, "R", width_body())
        key_authority.revoke(hospital.actor("rook"), phone.kid, Revocation("lost", None))
        phone.push(registration, reading)
        first, second = (open_envelope(one).id for one in (registration, reading))
        assert refusal_of(hospital, second) == "quarantine.kept_out"
        decide(hospital, first, "adopt")
        decide(hospital, second, "adopt")
        assert [entry.id for entry in journal.entries_of_person(person)] == [first, second]

    @pytest.mark.parametrize("decision_first", [True, False])
    def test_holds_after_a_restore_in_any_order(
        self, hospital: Hospital, phone: Phone, decision_first: bool
    ) -> None:
        """Record and decision, given back to an older copy either way round, count again."""
        person = phone.register()
        registered = phone.prev
        envelope = late_reading(hospital, phone, person)
        record_id = open_envelope(envelope).id
        RefusedRecord.delete().execute()
        chains.ChainHead.update(seq=1, id=registered).where(
            chains.ChainHead.kid == phone.kid
        ).execute()
        given_back = [decision_on(phone, record_id), envelope]
        for one in given_back if decision_first else reversed(given_back):
            hospital.phone("verrill", "saltpan").push(one)
        assert record_id in journal.entries_by_id([record_id])
        assert RefusedRecord.select().count() == 0


def decision_on(phone: Phone, record_id: str) -> dict[str, str]:
    """Return a decision signed by the desk key, as a phone that pulled it gives it back."""
    key = desk_key()
    seq, newest = chains.heads([key.kid]).get(key.kid, (0, None))
    payload = draft(
        "quarantine.decided", Subject(None, None, phone.site), Writer("u-verrill", "surgeon"),
        Link(key.kid, seq + 1, newest), WALL, {"record": record_id, "decision": "adopt"},
        Correction(None, WHY),
    )  # fmt: skip
    return seal(payload, key)


def decided_by_the_desk(hospital: Hospital, record_id: str, decision: str) -> None:
    """Let the desk sign a decision that no page was asked for."""
    said = {"record": record_id, "decision": decision}
    subject, why = Subject(None, None, "saltpan"), Correction(None, WHY)
    with database.writing():
        actor = hospital.actor("marsh")
        desk_record.write(actor, Draft("quarantine.decided", subject, "surgeon", said, why))


class TestLeave:
    """A surgeon says that it stays out."""

    def test_stays_apart_with_the_decision(self, hospital: Hospital, phone: Phone) -> None:
        """Listed as decided, refused when it is offered again, adopted by nobody by accident."""
        envelope = late_reading(hospital, phone, phone.register())
        record_id = open_envelope(envelope).id
        decide(hospital, record_id, "leave")
        (apart,) = kept_apart.listing(hospital.actor("verrill"))
        assert apart.decision == "leave"
        (receipt,) = phone.push(envelope)
        assert receipt.reason is not None
        assert receipt.reason.code == "quarantine.left"
        with pytest.raises(Refused) as refused:
            decide(hospital, record_id, "leave")
        assert refused.value.code == "quarantine.decided"

    def test_may_be_adopted_later(self, hospital: Hospital, phone: Phone) -> None:
        """New knowledge may let it in; nothing adopted is ever left out again."""
        envelope = late_reading(hospital, phone, phone.register())
        record_id = open_envelope(envelope).id
        decide(hospital, record_id, "leave")
        decide(hospital, record_id, "adopt")
        assert record_id in journal.entries_by_id([record_id])
        with pytest.raises(NotFound):
            decide(hospital, record_id, "leave")


def test_phones_cannot_decide(hospital: Hospital, phone: Phone) -> None:
    """A decision signed by a surgeon's phone is refused: the desk asks for the passphrase."""
    record_id = open_envelope(late_reading(hospital, phone, phone.register())).id
    surgeon = hospital.phone("verrill", "saltpan")
    body = {"record": record_id, "decision": "adopt"}
    (receipt,) = surgeon.push(
        surgeon.record("quarantine.decided", None, None, body, reason="trust me")
    )
    assert receipt.reason is not None
    assert receipt.reason.code == "kind.signer"
    assert record_id not in journal.entries_by_id([record_id])


def test_what_was_left_apart_takes_its_place_when_it_comes_again(
    hospital: Hospital, phone: Phone
) -> None:
    """After a restore the decision may be back before the place; what follows must not wait."""
    person = phone.register()
    earlier, left, later = (phone.record(WIDTH, person, "R", width_body()) for _ in range(3))
    (receipt,) = phone.push(left)
    assert receipt.reason is not None
    assert receipt.reason.code == "chain.gap"
    decided_by_the_desk(hospital, receipt.id, "leave")
    results = [
        (one.result, one.reason.code if one.reason else "")
        for one in phone.push(earlier, left, later)
    ]
    assert results == [("stored", ""), ("refused", "quarantine.left"), ("stored", "")]
    assert [(row.id, row.has_place) for row in RefusedRecord.select()] == [(receipt.id, 1)]
