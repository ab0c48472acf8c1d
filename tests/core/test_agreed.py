"""A day agreed with an urgent reading or in a call calls the eye until it was seen (H37).

Surgery was on 20 Oct 2026. The vault is read on 21 Oct and the eye seen on 27 Oct (week 1), so that
by the visits alone nothing is due before 14 Nov (month 1 on 19 Nov; a quarter of the 23 days since
week 1 before it, 5 days, it is due). All days are counted by hand.
"""

from typing import Any

import pytest

from tests.core import records
from tests.core.decided import DESK, SURGEON, eye_of, void
from tests.core.surgeries import found, implanted

Entry = records.Entry
DAY_1, WEEK_1 = "2026-10-21T08:00:00.000Z", "2026-10-27T08:00:00.000Z"
WRITTEN = "2026-10-27T09:00:00.000Z"
TOMORROW = "2026-10-28"


class Eye:
    """A right eye that was seen as planned, with a very high vault on day 7."""

    def __init__(self) -> None:
        self.surgery = implanted("R")
        first = found("vault", self.surgery, "R", DAY_1)
        self.high = found("vault", self.surgery, "R", WEEK_1, vault_um=1200)
        self.entries = [records.person(), self.surgery, first, self.high]

    def schedule(self, *more: Entry, today: str, **given: Any) -> dict[str, Any]:  # noqa: ANN401
        """Return how it stands with its visits."""
        fold = eye_of([*self.entries, *more], today=today, **given)
        answer: dict[str, Any] = fold["surgeries"][-1]["schedule"]
        return answer

    def called(self, comes_on: str | None, wall: str = WRITTEN, **given: Any) -> Entry:  # noqa: ANN401
        """Return a call in which a day was agreed."""
        body = {"implant": self.surgery["id"], "how": "phone", "reached": "yes", "text": None,
                "comes_on": comes_on}  # fmt: skip
        return records.record("recall.contact", body, "R", **{**DESK, "wall": wall, **given})

    def about(self, kind: str, **body: object) -> Entry:
        """Return who was told of the vault, or what was answered."""
        wall = body.pop("wall", WRITTEN)
        said = {"whom": "Dr S. Verrill", "how": "phone"} if kind == "urgent.told" else {}
        body = {"implant": self.surgery["id"], "readings": [self.high["id"]],
                "text": "See her once more.", **said, **body}  # fmt: skip
        return records.record(kind, body, "R", **{**SURGEON, "wall": wall})


@pytest.fixture
def eye() -> Eye:
    """Return the eye."""
    return Eye()


def test_by_its_visits_alone_it_would_wait(eye: Eye) -> None:
    """Else the tests below would show nothing."""
    now = eye.schedule(eye.called(None), today="2026-10-30")
    assert (now["state"], now["due"]) == ("later", "2026-11-19")


@pytest.mark.parametrize("kind", ["urgent.told", "urgent.answered", "recall.contact"])
@pytest.mark.parametrize(
    ("today", "state", "said"),
    [
        ("2026-10-27", "due", "Comes on 28 Oct 2026, as agreed. "),
        ("2026-10-28", "due", "Comes on 28 Oct 2026, as agreed. "),
        ("2026-10-29", "overdue", "Agreed for 28 Oct 2026, not seen. "),
        ("2026-11-20", "overdue", "Agreed for 28 Oct 2026, not seen. "),
    ],
)
def test_calls_the_eye(eye: Eye, kind: str, today: str, state: str, said: str) -> None:
    """From the day before, and overdue on the day after, whoever wrote it down."""
    agreed = (
        eye.called(TOMORROW) if kind == "recall.contact" else eye.about(kind, comes_on=TOMORROW)
    )
    now = eye.schedule(agreed, today=today)
    assert (now["state"], now["due"]) == (state, TOMORROW)
    assert now["text"].startswith(said)
    assert "Month 1" in now["text"]


def test_a_day_further_off_is_said_and_calls_later(eye: Eye) -> None:
    """It is the day that the eye waits for, before its next visit."""
    now = eye.schedule(eye.called("2026-11-03"), today="2026-10-30")
    assert (now["state"], now["due"]) == ("later", "2026-11-03")
    assert now["text"].startswith("Comes on 3 Nov 2026, as agreed. Next: Month 1")
    after_it = eye.schedule(eye.called("2026-12-24"), today="2026-10-30")
    assert (after_it["state"], after_it["due"]) == ("later", "2026-11-19")


def test_records_from_before_there_was_such_a_day(eye: Eye) -> None:
    """An answer without the field agrees on nothing."""
    assert eye.schedule(eye.about("urgent.answered"), today="2026-10-30")["state"] == "later"


@pytest.mark.parametrize(
    ("taken", "kept"),
    [
        ("2026-10-27T08:59:00.000Z", False),  # before it was agreed
        ("2026-10-27T16:00:00.000Z", False),  # looked at once more on the same day
        ("2026-10-27T21:00:00.000Z", True),  # the morning of the 28th, east of Greenwich
        ("2026-10-28T07:00:00.000Z", True),
        ("2026-11-02T07:00:00.000Z", True),
    ],
)
def test_a_visit_ends_it(eye: Eye, taken: str, kept: bool) -> None:
    """A reading of that day or later, and none of the visit that it was agreed at."""
    seen = found("pressure", eye.surgery, "R", taken)
    now = eye.schedule(eye.called(TOMORROW), seen, today="2026-11-03")
    assert (now["state"], "agreed" in now["text"].lower()) == (
        ("later", False) if kept else ("overdue", True)
    )


@pytest.mark.parametrize(("taken", "kept"), [("2026-10-30", False), ("2026-10-31", True)])
def test_a_visit_before_the_day(eye: Eye, taken: str, kept: bool) -> None:
    """Agreed on 27 Oct for 3 Nov, 7 days: from the third day before it, as half-way for visits."""
    seen = found("pressure", eye.surgery, "R", f"{taken}T08:00:00.000Z")
    now = eye.schedule(eye.called("2026-11-03"), seen, today="2026-11-05")
    assert now["state"] == ("later" if kept else "overdue")


def test_the_same_day_in_the_evening_west_of_greenwich(eye: Eye) -> None:
    """Where both days are the same by UTC, what was read before the agreement keeps nothing."""
    late = eye.called(TOMORROW, "2026-10-28T01:00:00.000Z")
    before = found("pressure", eye.surgery, "R", "2026-10-28T00:30:00.000Z")
    assert eye.schedule(late, before, today="2026-10-29")["state"] == "overdue"
    after = found("pressure", eye.surgery, "R", "2026-10-28T15:00:00.000Z")
    assert eye.schedule(late, after, today="2026-10-29")["state"] == "later"


def test_another_day_does_not_take_it_away(eye: Eye) -> None:
    """Moved twice and seen never: the first day speaks, and the last one is said."""
    agreed = [eye.called(TOMORROW), eye.called("2026-11-05", "2026-10-30T09:00:00.000Z", seq=91)]
    now = eye.schedule(*agreed, today="2026-10-31")
    assert (now["state"], now["due"]) == ("overdue", TOMORROW)
    assert now["text"].startswith("Agreed for 28 Oct 2026, not seen. Agreed since for 5 Nov 2026. ")
    seen = found("pressure", eye.surgery, "R", "2026-11-05T08:00:00.000Z")
    assert eye.schedule(*agreed, seen, today="2026-11-06")["state"] == "later"


def test_a_call_that_was_withdrawn(eye: Eye) -> None:
    """A slip of the finger calls nobody."""
    call = eye.called(TOMORROW)
    assert eye.schedule(call, void(call, **DESK), today="2026-10-30")["state"] == "later"


def test_who_is_lost_stays_lost(eye: Eye) -> None:
    """A missed day makes nothing look better than it is."""
    now = eye.schedule(eye.called(TOMORROW), today="2027-06-01")
    assert now["state"] == "lost"
    assert now["text"].startswith("Agreed for 28 Oct 2026, not seen. Lost to follow-up.")


def test_of_the_lens_before(eye: Eye) -> None:
    """What was agreed for a lens that was taken out since calls nobody (I22)."""
    new = implanted("R", serial="TI-2", operated="2026-10-29", explants=eye.surgery["id"],
                    explanted_serial="TI-70012", explanted_reason=None)  # fmt: skip
    vault = found("vault", new, "R", "2026-10-30T08:00:00.000Z")
    # No reading of the new lens would have kept this day, if it were one of the new lens.
    now = eye.schedule(eye.called("2026-11-20"), new, vault, today="2026-11-22")
    assert "agreed" not in now["text"].lower()


@pytest.mark.parametrize(
    ("since", "state"),
    [("2026-10-28T00:00:00.000Z", "overdue"), ("2026-11-01T00:00:00.000Z", "later")],
)
def test_a_key_in_other_hands_has_seen_nobody(eye: Eye, since: str, state: str) -> None:
    """A stolen phone takes nobody off the list (H23); what it signed before it was lost counts."""
    wall = "2026-10-28T07:00:00.000Z"
    seen = found("pressure", eye.surgery, "R", wall, wall=wall, seq=70)
    stolen = {"id": "a" * 64, "key": seen["payload"]["key"], "suspected_since": since}
    there = {**records.REFERENCE, "revoked_keys": [stolen]}
    now = eye.schedule(eye.called(TOMORROW), seen, today="2026-10-30", reference=there)
    assert now["state"] == state


BEHIND, AHEAD = "2026-10-01T09:00:00.000Z", "2027-10-27T09:00:00.000Z"


class TestByAWrongClock:
    """What an agreement is about keeps no day, whatever the clock said of whoever agreed on it."""

    @pytest.mark.parametrize("kind", ["urgent.told", "urgent.answered"])
    @pytest.mark.parametrize("wall", [BEHIND, "2020-01-01T00:00:00.000Z", WRITTEN])
    def test_that_is_behind(self, eye: Eye, kind: str, wall: str) -> None:
        """Half-way from a day long past would be before the urgent reading itself."""
        now = eye.schedule(eye.about(kind, comes_on=TOMORROW, wall=wall), today="2026-10-30")
        assert (now["state"], now["due"]) == ("overdue", TOMORROW)

    def test_what_else_was_read_at_that_visit(self, eye: Eye) -> None:
        """An hour after the vault, before somebody was told; the next morning it is a visit."""
        told = eye.about("urgent.told", comes_on=TOMORROW, wall=BEHIND)
        beside = found("pressure", eye.surgery, "R", "2026-10-27T09:00:00.000Z")
        assert eye.schedule(told, beside, today="2026-10-30")["state"] == "overdue"
        then = found("pressure", eye.surgery, "R", "2026-10-28T07:00:00.000Z")
        assert eye.schedule(told, beside, then, today="2026-10-30")["state"] == "later"

    def test_the_reading_was_corrected_since(self, eye: Eye) -> None:
        """Typed anew it is the same visit: 1100 instead of 1200 um."""
        told = eye.about("urgent.told", comes_on=TOMORROW, wall=BEHIND)
        better = found("vault", eye.surgery, "R", WEEK_1, vault_um=1100, replaces=eye.high["id"],
                       reason="misread", seq=80)  # fmt: skip
        assert eye.schedule(told, better, today="2026-10-30")["state"] == "overdue"

    def test_a_day_that_was_over(self, eye: Eye) -> None:
        """The day before by UTC can be typed; the reading that it is about is no later visit."""
        told = eye.about("urgent.told", comes_on="2026-10-26")
        assert eye.schedule(told, today="2026-10-30")["state"] == "overdue"
        call = eye.called("2026-10-26")
        assert eye.schedule(call, today="2026-10-30")["state"] == "overdue"

    def test_a_call_by_the_phone_that_read_it(self, eye: Eye) -> None:
        """Its own chain says what came first; nothing else of it does."""
        mine = {name: eye.high["payload"][name] for name in ("author", "role", "key")}
        call = eye.called(TOMORROW, BEHIND, **mine, seq=eye.high["payload"]["seq"] + 1)
        first = eye.entries[2]["payload"]
        assert (first["key"], first["seq"] < call["payload"]["seq"]) == (mine["key"], True)
        assert eye.schedule(call, today="2026-10-30")["state"] == "overdue"

    def test_that_is_ahead(self, eye: Eye) -> None:
        """By a clock that says the day is long over, a visit after it keeps it all the same."""
        for agreed in (
            eye.called(TOMORROW, AHEAD),
            eye.about("urgent.told", comes_on=TOMORROW, wall=AHEAD),
        ):
            assert eye.schedule(agreed, today="2026-10-30")["state"] == "overdue"
            seen = found("pressure", eye.surgery, "R", "2026-10-29T08:00:00.000Z")
            assert eye.schedule(agreed, seen, today="2026-10-30")["state"] == "later"

    def test_a_reading_from_the_future(self, eye: Eye) -> None:
        """Its time says nothing of when it was agreed; it is no visit of its own either."""
        ahead = found("vault", eye.surgery, "R", "2027-10-27T08:00:00.000Z", vault_um=1200, seq=70)
        told = eye.about("urgent.told", comes_on=TOMORROW, readings=[ahead["id"]])
        with_it = eye.schedule(ahead, told, today="2026-10-30")
        assert with_it["text"].startswith("Agreed for 28 Oct 2026, not seen.")
        seen = found("pressure", eye.surgery, "R", "2026-10-28T08:00:00.000Z")
        assert "agreed" not in eye.schedule(ahead, told, seen, today="2026-10-30")["text"].lower()
