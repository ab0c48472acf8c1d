"""A phone was lost: record 2 never comes, record 3 is here. Declared, listed, then judged."""

import pytest

from tests.hospital import Hospital, Phone, width_body
from webapp.demo_people import PASSPHRASE
from webapp.flow import chain_gaps, kept_apart, key_authority
from webapp.flow.key_authority import Revocation
from webapp.flow.refusal import NotFound, Refused
from webapp.records.envelope import open_envelope
from webapp.store import journal
from webapp.store.quarantine import RefusedRecord

WIDTH = "reading.white_to_white"
WHY = "The phone fell into the harbour."


@pytest.fixture
def phone(hospital: Hospital) -> Phone:
    """Return the Saltpan optometrist's phone."""
    return hospital.phone("ambler", "saltpan")


def behind_a_gap(phone: Phone) -> tuple[str, dict[str, str], list[dict[str, str]]]:
    """Return a person, the record that does not come, and two that wait behind it."""
    person = phone.register()
    missing, *later = [
        phone.record(WIDTH, person, "R", width_body(11600 + 10 * n)) for n in range(3)
    ]
    for receipt in phone.push(*later):
        assert receipt.reason is not None
        assert receipt.reason.code == "chain.gap"
    return person, missing, later


def declare(hospital: Hospital, phone: Phone, name: str = "fenn") -> None:
    """Declare the gap with the passphrase."""
    chain_gaps.declare(hospital.actor(name), phone.kid, WHY, PASSPHRASE)


def ids_of(envelopes: list[dict[str, str]]) -> list[str]:
    """Return the ids of records."""
    return [open_envelope(one).id for one in envelopes]


def test_what_waits_is_listed_with_what_is_missing(hospital: Hospital, phone: Phone) -> None:
    """Device, owner, the missing number and how many wait; they can't be adopted around it."""
    _, missing, later = behind_a_gap(phone)
    (gap,) = chain_gaps.open_gaps(hospital.actor("fenn"))
    assert (gap.name, gap.from_seq, gap.to_seq, gap.waiting) == ("R. Ambler", 2, 2, 2)
    assert gap.last == open_envelope(missing).id
    with pytest.raises(Refused) as refused:
        kept_apart.decide(hospital.actor("verrill"), ids_of(later)[0], "adopt", WHY, PASSPHRASE)
    assert refused.value.code == "quarantine.waits"


def test_a_number_that_outgrows_32_bits_is_one_like_any_other(
    hospital: Hospital, phone: Phone
) -> None:
    """A record may say any number: it waits, its gap is declared, and the chain goes on."""
    person = phone.register()
    far = phone.record(WIDTH, person, "R", width_body(), seq=2**40, prev="e" * 64)
    assert [one.reason.code for one in phone.push(far) if one.reason] == ["chain.gap"]
    declare(hospital, phone)
    (loss,) = chain_gaps.known_losses(hospital.actor("fenn"))
    assert (loss.from_seq, loss.to_seq) == (2, 2**40 - 1)
    assert journal.entries_by_id(ids_of([far])).keys() == set(ids_of([far]))


def test_the_missing_one_may_still_come(hospital: Hospital, phone: Phone) -> None:
    """It lets in what waited, although nobody offers that again."""
    _, missing, later = behind_a_gap(phone)
    (receipt,) = phone.push(missing)
    assert receipt.result == "stored"
    assert set(journal.entries_by_id(ids_of(later))) == set(ids_of(later))
    assert RefusedRecord.select().count() == 0
    assert chain_gaps.open_gaps(hospital.actor("fenn")) == []
    assert [receipt.result for receipt in phone.push(*later)] == ["known", "known"]


def test_declared_lost_the_later_ones_follow(hospital: Hospital, phone: Phone) -> None:
    """They enter the journal, the phone's next record too, and the loss stays listed."""
    person, _, later = behind_a_gap(phone)
    declare(hospital, phone)
    assert set(journal.entries_by_id(ids_of(later))) == set(ids_of(later))
    phone.keep(WIDTH, person, "L", width_body())
    (loss,) = chain_gaps.known_losses(hospital.actor("fenn"))
    assert (loss.from_seq, loss.to_seq, loss.reason) == (2, 2, WHY)
    assert loss.declared_by == "L. Fenn"
    (said,) = [one for one in journal.entries_after("all", 0, 99) if one.kind == "gap.declared"]
    assert said.author == "u-fenn"


def test_of_a_revoked_key_they_go_to_a_clinician(hospital: Hospital, phone: Phone) -> None:
    """A lost phone's key is revoked: each reading waits for a surgeon, and may be adopted."""
    person, _, later = behind_a_gap(phone)
    key_authority.revoke(hospital.actor("rook"), phone.kid, Revocation("lost", None))
    declare(hospital, phone, "rook")
    assert len(journal.entries_of_person(person)) == 1
    apart = kept_apart.listing(hospital.actor("verrill"))
    assert [(one.id, one.code) for one in apart] == [(one, "key.revoked") for one in ids_of(later)]
    kept_apart.decide(hospital.actor("verrill"), apart[0].id, "adopt", "Read again", PASSPHRASE)
    assert len(journal.entries_of_person(person)) == 2


def test_what_rests_on_the_lost_record_stays_apart(hospital: Hospital, phone: Phone) -> None:
    """A correction of a lost reading has nothing to correct."""
    person = phone.register()
    lost = phone.record(WIDTH, person, "R", width_body())
    target = open_envelope(lost).id
    phone.push(phone.record(WIDTH, person, "R", width_body(), replaces=target, reason="slip"))
    declare(hospital, phone)
    (apart,) = kept_apart.listing(hospital.actor("verrill"))
    assert apart.code == "target.unknown"


def test_the_lost_record_comes_after_all(hospital: Hospital, phone: Phone) -> None:
    """It is kept apart for a surgeon, who may adopt it; the chain does not move back."""
    person, missing, later = behind_a_gap(phone)
    declare(hospital, phone)
    (receipt,) = phone.push(missing)
    assert receipt.reason is not None
    assert receipt.reason.code == "gap.late"
    (apart,) = kept_apart.listing(hospital.actor("verrill"))
    kept_apart.decide(hospital.actor("verrill"), apart.id, "adopt", "Still true", PASSPHRASE)
    assert ids_of([missing])[0] in journal.entries_by_id(ids_of([missing, *later]))
    phone.keep(WIDTH, person, "L", width_body())


def test_another_record_cannot_take_the_end_of_the_gap(hospital: Hospital, phone: Phone) -> None:
    """Only what names the declared last record joins on: a copied phone stays a fork."""
    person, _, _ = behind_a_gap(phone)
    declare(hospital, phone)
    RefusedRecord.delete().execute()
    forged = phone.record(WIDTH, person, "R", width_body(12000), seq=3, prev="e" * 64)
    (receipt,) = phone.push(forged)
    assert receipt.reason is not None
    assert receipt.reason.code == "chain.fork"


@pytest.mark.parametrize("name", ["verrill", "ambler"])
def test_only_desk_and_administrator_declare(hospital: Hospital, phone: Phone, name: str) -> None:
    """Whoever measures or decides does not write losses off."""
    behind_a_gap(phone)
    with pytest.raises(Refused) as refused:
        declare(hospital, phone, name)
    assert refused.value.code == "role.missing"


def test_nothing_missing_nothing_declared(hospital: Hospital, phone: Phone) -> None:
    """A chain that is whole has no gap to close."""
    phone.register()
    with pytest.raises(NotFound):
        declare(hospital, phone)
