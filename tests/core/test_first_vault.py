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


def said(surgery: records.Entry, *more: records.Entry, today: str) -> str:
    """Return what the fold says about the visits of the first lens of the eye."""
    fold = eye_of([records.person(), surgery, *more], today=today)
    answer: dict[str, Any] = fold["surgeries"][0]
    return str(answer["schedule"]["text"])


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
    assert text.startswith("Next: Week 1")
    assert ASKED in text


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
