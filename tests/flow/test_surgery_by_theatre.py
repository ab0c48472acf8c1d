"""A surgery that somebody of the theatre recorded, and its end where it was of another eye.

Only its author withdraws a record: without that, an eye that was named by mistake could never have
a lens of its own.
"""

import pytest

from tests.flow.surgeries import surgery
from tests.hospital import Hospital, Phone


@pytest.fixture
def nurse(hospital: Hospital) -> Phone:
    """Return the phone of somebody who works in theatre alone."""
    return hospital.phone("wren", "saltpan")


@pytest.fixture
def person(hospital: Hospital) -> str:
    """Return somebody registered at the same camp."""
    return hospital.phone("ambler", "saltpan").register()


def test_of_the_wrong_eye_is_withdrawn_by_its_author(nurse: Phone, person: str) -> None:
    """And the lens, with its serial number, is recorded in the eye in which it lies."""
    body = surgery()
    wrong = nurse.keep("surgery.implanted", person, "L", body)
    nurse.keep("record.void", person, "L", {"target": wrong}, reason="It was the other eye")
    nurse.keep("surgery.implanted", person, "R", body)


def test_so_is_a_removal(nurse: Phone, person: str) -> None:
    """The lens lies in the eye again, and may be taken out by another record."""
    lens = nurse.keep("surgery.implanted", person, "R", surgery())
    body = {
        "implant": lens, "operated": "2026-11-21", "serial": "TI-70012", "serial_reason": None,
        "operator": "Dr S. Verrill", "why": "high_vault", "note": None,
    }  # fmt: skip
    out = nurse.keep("surgery.explanted", person, "R", body)
    nurse.keep("record.void", person, "R", {"target": out}, reason="It stayed in")
    nurse.keep("surgery.explanted", person, "R", body)


def test_nobody_of_the_theatre_withdraws_anybody_elses(
    hospital: Hospital, nurse: Phone, person: str
) -> None:
    """Neither a surgeon's surgery nor a reading."""
    camp, surgeon = hospital.phone("ambler", "saltpan"), hospital.phone("verrill", "saltpan")
    others = [surgeon.keep("surgery.implanted", person, "R", surgery())]
    others.append(camp.measure(person, "R")["reading.pupil"])
    for one in others:
        record = nurse.record("record.void", person, "R", {"target": one}, reason="Not so")
        (receipt,) = nurse.push(record)
        assert receipt.reason is not None
        assert receipt.reason.code == "target.not_own"
