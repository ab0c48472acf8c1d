"""When an operated eye is to be seen: the visits in order, their windows, who is late and lost.

The days are worked by hand from the default limits (common practice): day 0, 1, 7, 30, 91, 183, and
every 365; late after a quarter of the time since the visit before, at least a day.
"""

import datetime
import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core import records
from tests.core.decided import eye_of
from tests.core.surgeries import OPERATED, found, implanted
from tests.core_runtime import Core
from webapp.core.dates import date_after
from webapp.core.errors import BadInput
from webapp.core.follow_up import schedule
from webapp.core.limits import defaults, is_usable

DAY_0 = datetime.date.fromisoformat(OPERATED)
DEFAULTS = defaults()


def date_of(day: int) -> str:
    """Return the date of a day since surgery, by the standard library's calendar."""
    return (DAY_0 + datetime.timedelta(days=day)).isoformat()


def seen_on(*days: int, today: int, limits: dict[str, int] | None = None) -> dict[str, Any]:
    """Return the schedule of an eye operated on day 0 whose vault was read on these days."""
    surgery = implanted("R")
    readings = [
        found("vault", surgery, "R", f"{date_of(day)}T08:00:00.000Z", seq=20 + day) for day in days
    ]
    adopted = {"id": "c" * 64, "body": {"title": "Ours", "values": limits or {}}}
    more = {"reference": {**records.REFERENCE, "limits": adopted}}
    fold = eye_of([records.person(), surgery, *readings], today=date_of(today), **more)
    answer: dict[str, Any] = fold["surgeries"][0]
    return answer


def schedule_of(*days: int, today: int, **more: Any) -> dict[str, Any]:  # noqa: ANN401
    """Return only the schedule."""
    answer: dict[str, Any] = seen_on(*days, today=today, **more)["schedule"]
    return answer


class TestVisits:
    """Which visits are planned, and which days belong to each."""

    def test_planned_days(self) -> None:
        """The same day, day 1, week 1, month 1, 3, 6 and 12, then yearly."""
        assert schedule.due_days(DEFAULTS, 800) == [
            (0, "Same-day visit"), (1, "Day 1"), (7, "Week 1"), (30, "Month 1"),
            (91, "Month 3"), (183, "Month 6"), (365, "Year 1"), (730, "Year 2"), (1095, "Year 3"),
        ]  # fmt: skip

    @pytest.mark.parametrize(
        ("day", "name"),
        [
            (-1, "Same-day visit"), (0, "Same-day visit"), (1, "Day 1"), (3, "Day 1"),
            (4, "Week 1"), (18, "Week 1"), (19, "Month 1"), (60, "Month 1"), (61, "Month 3"),
            (136, "Month 3"), (137, "Month 6"), (273, "Month 6"), (274, "Year 1"), (547, "Year 1"),
            (548, "Year 2"),
        ],
    )  # fmt: skip
    def test_a_reading_belongs_to_the_nearest_visit(self, day: int, name: str) -> None:
        """Windows meet half-way between two visits, and the fold names the visit."""
        (reading,) = seen_on(day, today=max(day, 1))["followups"]
        assert reading["visit"] == name

    @given(st.integers(min_value=-1, max_value=6000))
    def test_every_day_belongs_to_exactly_one_visit(self, day: int) -> None:
        """No day falls between two windows, and the nearest visit is never beaten."""
        planned = schedule.visits(DEFAULTS, day)
        mine = schedule.visit_of(planned, day)
        assert mine is not None
        assert min(abs(one.due_d - day) for one in planned) == abs(mine.due_d - day)

    def test_a_visit_set_to_0_is_not_planned(self) -> None:
        """A centre chooses its visits; equal days are one visit."""
        limits = {**DEFAULTS, "follow_hours": 0, "follow_week_d": 0, "follow_month3_d": 30,
                  "follow_yearly_d": 0}  # fmt: skip
        assert schedule.due_days(limits, 9999) == [(1, "Day 1"), (30, "Month 1"), (183, "Month 6")]

    def test_no_limit_below_0(self) -> None:
        """A visit before the surgery is a slip."""
        assert not is_usable("follow_week_d", -7)
        assert is_usable("follow_week_d", 0)


class TestStanding:
    """Later, due, overdue, lost: said plainly, with the day."""

    @pytest.mark.parametrize(
        ("days", "today", "state", "name"),
        [
            ((), 0, "due", "Same-day visit"),
            ((), 1, "due", "Same-day visit"),
            ((), 2, "overdue", "Same-day visit"),
            ((0,), 1, "due", "Day 1"),
            ((0,), 2, "due", "Day 1"),
            ((0,), 3, "overdue", "Day 1"),
            ((0, 1), 4, "later", "Week 1"),
            ((0, 1), 6, "due", "Week 1"),
            ((0, 1), 8, "due", "Week 1"),
            ((0, 1), 9, "overdue", "Week 1"),
            ((1, 8), 24, "later", "Month 1"),
            ((1, 8), 25, "due", "Month 1"),
            ((1, 8), 35, "due", "Month 1"),
            ((1, 8), 36, "overdue", "Month 1"),
            ((1, 8), 125, "overdue", "Month 1"),
            ((1, 8), 126, "lost", "Month 1"),
            ((1, 8, 126), 126, "later", "Month 6"),
            ((1, 8, 126), 160, "due", "Month 6"),
            ((365,), 638, "later", "Year 2"),
            ((365,), 639, "due", "Year 2"),
            ((365,), 822, "overdue", "Year 2"),
            ((365,), 912, "lost", "Year 2"),
        ],
    )
    def test_state(self, days: tuple[int, ...], today: int, state: str, name: str) -> None:
        """Month 1 is due on day 30, 23 after week 1: late after day 35, lost after day 125."""
        now = schedule_of(*days, today=today)
        assert (now["state"], now["next"]) == (state, name)

    def test_lost_is_said_plainly(self) -> None:
        """With when it was last seen and what was missed."""
        now = schedule_of(1, 8, today=150)
        assert now["text"] == (
            "Lost to follow-up. Last seen on day 8. Month 1 was due 19 Nov 2026, 120 days ago."
        )

    def test_missed_and_kept_are_listed(self) -> None:
        """What was missed stays visible, and asks for nothing once a later visit was kept."""
        now = schedule_of(1, 95, today=96)
        assert [(one["name"], one["state"], one["day"]) for one in now["visits"]] == [
            ("Same-day visit", "missed", None), ("Day 1", "kept", 1),
            ("Week 1", "missed", None), ("Month 1", "missed", None), ("Month 3", "kept", 95),
            ("Month 6", "later", None),
        ]  # fmt: skip
        assert now["due"] == date_of(183)

    def test_the_centre_decides(self) -> None:
        """Another day of the week visit, another patience."""
        limits = {"follow_week_d": 10, "follow_grace_percent": 0, "follow_lost_d": 5}
        assert schedule_of(1, today=11, limits=limits)["state"] == "due"
        assert schedule_of(1, today=12, limits=limits)["state"] == "overdue"
        assert schedule_of(1, today=17, limits=limits)["state"] == "lost"

    def test_no_visit_planned(self) -> None:
        """A centre that sees nobody yearly has an end."""
        now = schedule_of(183, today=900, limits={"follow_yearly_d": 0})
        assert (now["state"], now["next"], now["due"]) == ("ended", None, None)
        assert now["text"].startswith("No further visit is planned. Last seen on day 183.")

    def test_the_other_lens_keeps_no_visit(self) -> None:
        """What was read after another surgery is no visit of this one (I22)."""
        surgery, other = implanted("R"), implanted("L", serial="TI-2")
        elsewhere = found("pressure", other, "R", f"{date_of(8)}T08:00:00.000Z")
        fold = eye_of([records.person(), surgery, other, elsewhere], today=date_of(20))
        assert fold["surgeries"][0]["schedule"]["last_d"] is None


class TestCalendar:
    """Dates so many days away."""

    @given(st.dates(datetime.date(1600, 1, 1), datetime.date(2500, 1, 1)), st.integers(-999, 99999))
    def test_against_the_standard_library(self, start: datetime.date, days: int) -> None:
        """Python's own calendar gives the same day."""
        expected = (start + datetime.timedelta(days=days)).isoformat()
        assert date_after(start.isoformat(), days) == expected

    def test_no_date(self) -> None:
        """Not a date."""
        with pytest.raises(BadInput):
            date_after("25.11.2026", 1)


def test_both_pythons_agree(core: Core) -> None:
    """Phone and base show the same visits (I23)."""
    surgery = implanted("R")
    reading = found("pressure", surgery, "R", f"{date_of(8)}T08:00:00.000Z")
    asked = records.fold_request([records.person(), surgery, reading], today=date_of(150))
    (text,) = core("door", "call", json.dumps(asked)).values()
    now = json.loads(text)["eyes"]["R"]["surgeries"][0]["schedule"]
    assert now["state"] == "lost"
    assert [one["due"] for one in now["visits"]] == [date_of(day) for day in (0, 1, 7, 30)]
