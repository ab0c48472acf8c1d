"""The vault of day 1 is asked for until one was read with the lens in the eye (H32).

Surgery was on 20 Oct 2026; that day 1 is 21 Oct is counted by hand.
"""

from typing import Any

import pytest

from tests.core import records
from tests.core.decided import eye_of
from tests.core.surgeries import found, implanted

MORNING, NEXT_DAY = "2026-10-20T15:00:00.000Z", "2026-10-21T08:00:00.000Z"
ASKED = "The vault has to be measured on day 1, 21 Oct 2026."
MISSED = "No vault was measured yet; day 1 was 21 Oct 2026: measure it now."
UPSIDE_DOWN = "The lens opened upside down and was reloaded"


def schedule(surgery: records.Entry, *more: records.Entry, today: str) -> dict[str, Any]:
    """Return how the first lens of the eye stands with its visits."""
    fold = eye_of([records.person(), surgery, *more], today=today)
    answer: dict[str, Any] = fold["surgeries"][0]["schedule"]
    return answer


def said(surgery: records.Entry, *more: records.Entry, today: str) -> str:
    """Return what the fold says about them."""
    return str(schedule(surgery, *more, today=today)["text"])


@pytest.mark.parametrize(
    ("today", "words"),
    [("2026-10-20", ASKED), ("2026-10-21", ASKED), ("2026-10-22", MISSED), ("2027-03-01", MISSED)],
)
def test_is_asked_for(today: str, words: str) -> None:
    """From the day of surgery on, and for as long as nobody has measured it."""
    assert said(implanted("R"), today=today).endswith(words)


def test_another_reading_does_not_stand_for_it() -> None:
    """Day 1 is kept by a pressure, and the vault is still wanted."""
    surgery = implanted("R")
    text = said(surgery, found("pressure", surgery, "R", NEXT_DAY), today="2026-10-21")
    assert text.startswith("Due now: the vault, still to be read. Next: Week 1")
    assert ASKED in text


# Day 1 is 21 Oct; a day of grace, as each visit has at least one; week 1 is due from 26 Oct.
@pytest.mark.parametrize(
    ("today", "state", "opening"),
    [
        ("2026-10-21", "due", "Due now: the vault, still to be read. Next: Week 1"),
        ("2026-10-22", "due", "Due now: the vault"),
        ("2026-10-23", "overdue", "Overdue: the vault, still to be read. Next: Week 1"),
        ("2026-10-26", "overdue", "Overdue: the vault, still to be read. Due now: Week 1"),
        ("2026-10-29", "overdue", "Overdue. Week 1 was due 27 Oct 2026"),
        ("2027-03-01", "lost", "Lost to follow-up."),
    ],
)
def test_an_eye_without_it_is_called_for(today: str, state: str, opening: str) -> None:
    """Day 1 was kept by a pressure: the eye is on the lists all the same, for its vault."""
    surgery = implanted("R")
    now = schedule(surgery, found("pressure", surgery, "R", NEXT_DAY), today=today)
    assert (now["state"], now["text"].startswith(opening)) == (state, True), now["text"]
    assert now["due"] == ("2026-10-21" if "the vault, still" in now["text"] else "2026-10-27")


def test_on_the_day_of_surgery_nobody_is_called_for_it() -> None:
    """Its day has not come."""
    surgery = implanted("R")
    now = schedule(surgery, found("pressure", surgery, "R", MORNING), today="2026-10-20")
    assert "the vault, still" not in now["text"]
    vault = found("vault", surgery, "R", NEXT_DAY)
    assert schedule(surgery, vault, today="2026-10-23")["state"] == "later"


@pytest.mark.parametrize("taken", [MORNING, NEXT_DAY])
def test_once_measured_it_is_not_asked_for(taken: str) -> None:
    """One vault ends it, on the day of surgery too."""
    surgery = implanted("R", event="reloaded", note="Removed and reloaded.")
    text = said(surgery, found("vault", surgery, "R", taken), today="2026-10-25")
    assert "vault" not in text.lower()
    assert UPSIDE_DOWN not in text


def test_a_lens_that_opened_upside_down() -> None:
    """The reason is said, so that whoever measures looks at the lens itself too."""
    surgery = implanted("R", event="reloaded", note="Removed and reloaded.")
    assert UPSIDE_DOWN in said(surgery, today="2026-10-21")
    assert UPSIDE_DOWN not in said(implanted("R"), today="2026-10-21")


def test_the_vault_of_the_lens_before_is_none_of_this_one() -> None:
    """After an exchange the new lens is measured, whatever was read with the old one (I22)."""
    old = implanted("R")
    vault = found("vault", old, "R", NEXT_DAY)
    new = implanted("R", serial="TI-2", operated="2026-11-20", explants=old["id"],
                    explanted_serial="TI-70012", explanted_reason=None)  # fmt: skip
    fold = eye_of([records.person(), old, vault, new], today="2026-11-20")
    first, second = fold["surgeries"]
    assert "vault" not in first["schedule"]["text"].lower()
    assert "day 1, 21 Nov 2026" in second["schedule"]["text"]


def test_a_lens_that_was_taken_out_before() -> None:
    """Nobody is asked to measure a lens that is no longer there."""
    old = implanted("R")
    new = implanted("R", serial="TI-2", operated="2026-11-20", explants=old["id"],
                    explanted_serial="TI-70012", explanted_reason=None)  # fmt: skip
    fold = eye_of([records.person(), old, new], today="2026-11-20")
    assert "vault" not in fold["surgeries"][0]["schedule"]["text"].lower()
