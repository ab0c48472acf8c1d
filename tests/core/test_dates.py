"""Dates as sentences write them: the core's, the desk's and the standard library's are the same."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core_runtime import Core
from webapp.core.dates import day_words
from webapp.core.errors import BadInput
from webapp.desk import moments


@given(st.dates(min_value=date(1000, 1, 1)))
def test_every_day(day: date) -> None:
    """Day without a zero before it, month by three letters, year: by the library's calendar."""
    expected = f"{day.day} {day:%b %Y}"
    assert day_words(day.isoformat()) == expected
    assert moments.day(day.isoformat()) == expected


@pytest.mark.parametrize("month", range(1, 13))
def test_both_pythons(core: Core, month: int) -> None:
    """The browser's Python names the months alike; a time of day is left out."""
    written = f"2026-{month:02}-09T23:59:59Z"
    found = core("dates", "day_words", written)["value"]
    assert found == f"9 {date(2026, month, 9):%b} 2026"


@pytest.mark.parametrize("bad", ["", "19 Oct 2026", "2026-13-01", "2026-1-1"])
def test_what_is_no_date(bad: str) -> None:
    """Another text is refused, and never printed as if it were a day."""
    with pytest.raises(BadInput):
        day_words(bad)
