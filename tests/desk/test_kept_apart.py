"""The page of what is kept apart: in words, one decision at a time, and gaps that are declared."""

from html import unescape

import pytest

from tests.desk.conftest import Desk
from tests.flow.receiving import signed_unchecked
from tests.flow.surgeries import surgery
from tests.hospital import Hospital, Phone, width_body
from webapp.demo_people import PASSPHRASE
from webapp.flow import key_authority
from webapp.flow.key_authority import Revocation
from webapp.records.envelope import open_envelope
from webapp.store import journal

WIDTH = "reading.white_to_white"
PAGE = "/desk/kept-apart"
WHY = "Read again with the person here."


@pytest.fixture
def phone(hospital: Hospital) -> Phone:
    """Return the Saltpan optometrist's phone."""
    return hospital.phone("ambler", "saltpan")


def late_reading(hospital: Hospital, phone: Phone) -> str:
    """Hand in a reading after its key was revoked and return its id."""
    person = phone.register()
    envelope = phone.record(WIDTH, person, "R", width_body(11640))
    key_authority.revoke(hospital.actor("rook"), phone.kid, Revocation("lost", None))
    phone.push(envelope)
    return open_envelope(envelope).id


def test_it_is_shown_in_words_and_adopted(hospital: Hospital, phone: Phone) -> None:
    """Person, author, device, value and reason are read; then one surgeon adopts one record."""
    record_id = late_reading(hospital, phone)
    desk = Desk(hospital.client("verrill"))
    listed = unescape(desk.get(PAGE).text)
    assert "White-to-white, right eye" in listed
    assert "A surgeon has to decide" in listed
    page = unescape(desk.get(f"{PAGE}/{record_id}").text)
    assert "R. Ambler, on test phone" in page
    assert "11.64 mm" in page
    assert "key was revoked" in page
    fields = {"decision": "adopt", "reason": WHY, "passphrase": PASSPHRASE}
    answer = desk.post(f"{PAGE}/{record_id}", **fields)
    assert answer.status_code == 302
    assert record_id in journal.entries_by_id([record_id])
    assert "Nothing is kept apart" in desk.get(PAGE).text


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"passphrase": "guess"}, "The passphrase is not right"),
        ({"reason": ""}, "Say why"),
        ({"decision": ""}, "Choose one"),
        ({"reason": "hidden \N{RIGHT-TO-LEFT OVERRIDE} text"}, "can't be shown"),
    ],
)
def test_what_is_missing_is_said_and_what_was_typed_stays(
    hospital: Hospital, phone: Phone, changed: dict[str, str], said: str
) -> None:
    """Nothing is decided, and the reason stands in its field again."""
    record_id = late_reading(hospital, phone)
    desk = Desk(hospital.client("verrill"))
    desk.get(f"{PAGE}/{record_id}")
    fields = {"decision": "leave", "reason": WHY, "passphrase": PASSPHRASE, **changed}
    answer = desk.post(f"{PAGE}/{record_id}", **fields)
    assert answer.status_code == 422
    assert said in unescape(answer.text)
    assert fields["reason"] in unescape(answer.text)
    assert record_id not in journal.entries_by_id([record_id])


def test_the_desk_reads_and_does_not_decide(hospital: Hospital, phone: Phone) -> None:
    """The desk person finds no form and is told who decides."""
    record_id = late_reading(hospital, phone)
    page = unescape(Desk(hospital.client("fenn")).get(f"{PAGE}/{record_id}").text)
    assert "A surgeon of Saltpan camp decides about it." in page
    assert "Decide about this record" not in page


def test_an_unreadable_record_shows_no_value(hospital: Hospital, phone: Phone) -> None:
    """A genuine record out of range offers no adoption and is never shown as a reading."""
    person = phone.register()
    envelope = signed_unchecked(phone, WIDTH, person, "R", width_body(99000))
    (receipt,) = phone.push(envelope)
    page = unescape(Desk(hospital.client("verrill")).get(f"{PAGE}/{receipt.id}").text)
    assert "not shown as a value" in page
    assert "99" not in page.split("It says")[1].split("Why it is apart")[0]
    assert 'value="adopt"' not in page


def test_a_surgery_is_read_in_words_and_ids_are_not_read(hospital: Hospital) -> None:
    """A second lens in an eye is kept apart: which lens it says is there for whoever calls."""
    surgeon = hospital.phone("verrill", "saltpan")
    person = surgeon.register()
    surgeon.keep("surgery.implanted", person, "L", surgery(serial="TI-1"))
    again = surgeon.record("surgery.implanted", person, "L", surgery(serial="TI-2"))
    (receipt,) = surgeon.push(again)
    page = unescape(Desk(hospital.client("fenn")).get(f"{PAGE}/{receipt.id}").text)
    said = page.split("It says")[1].split("Why it is apart")[0]
    assert "TI-2" in said
    assert "Length: 12.50 mm" in said
    assert "{" not in said


def test_a_gap_is_declared_and_listed(hospital: Hospital, phone: Phone) -> None:
    """What is missing and what waits is said; after the declaration it is a known loss."""
    person = phone.register()
    phone.record(WIDTH, person, "R", width_body())
    later = phone.record(WIDTH, person, "R", width_body())
    phone.push(later)
    desk = Desk(hospital.client("fenn"))
    assert "record 2 did not arrive; 1 after it wait" in unescape(desk.get(PAGE).text)
    address = f"{PAGE}/gaps/{phone.kid}"
    desk.get(address)
    assert desk.post(address, reason="", passphrase=PASSPHRASE).status_code == 422
    desk.get(address)
    answer = desk.post(address, reason="The phone was stolen.", passphrase=PASSPHRASE)
    assert answer.status_code == 302
    page = unescape(desk.get(PAGE).text)
    assert "The phone was stolen." in page
    assert open_envelope(later).id in journal.entries_by_id([open_envelope(later).id])
