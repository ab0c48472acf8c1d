"""Corrections and withdrawals as they are received: of one's own, once, of the same eye."""

from typing import Any

import pytest

from tests.flow.receiving import WIDTH, code
from tests.hospital import (
    ANSWERS,
    Hospital,
    Phone,
    width_body,
)
from webapp.store import journal


@pytest.fixture
def phone(hospital: Hospital) -> Phone:
    """Return the Saltpan optometrist's phone."""
    return hospital.phone("ambler", "saltpan")


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
