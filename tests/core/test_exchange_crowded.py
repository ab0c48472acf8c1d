"""A high lens crowds the angle and holds the pupil: a decision says what nobody has looked at.

The limits of 750 and 1000 micrometres are those in force; what each asks for is common practice.
"""

import json

import pytest

from tests.core import surgeries
from tests.core.exchanges import before, implanted, question
from tests.core_runtime import Core


def unread(core: Core, vault_um: int, *read: str) -> str | None:
    """Return what is said to be unread at a vault, None where nothing is."""
    surgery = implanted()
    found = [surgeries.found(kind, surgery, "R") for kind in read]
    vault = surgeries.found("vault", surgery, "R", vault_um=vault_um)
    entries = [*before(), surgery, vault, *found]
    answer = json.loads(core("door", "call", json.dumps(question(entries)))["value"])
    told = [one for one in answer["findings"] if one["code"] == "E4.crowded"]
    assert all(one["level"] == "caution" for one in told)
    return told[0]["title"].removeprefix("Not read with this lens: ") if told else None


@pytest.mark.parametrize(
    ("vault_um", "told"),
    [
        (750, None),
        (751, "angle and pupil"),
        (1000, "angle and pupil"),
        (1001, "angle, pupil and pressure"),
    ],
)
def test_by_the_height_of_the_vault(core: Core, vault_um: int, told: str | None) -> None:
    """Above the window angle and pupil; above the limit the pressure as well."""
    assert unread(core, vault_um) == told


def test_what_was_read_is_not_asked_again(core: Core) -> None:
    """Only what is missing is named; with all of it nothing is said."""
    assert unread(core, 1300, "pupil") == "angle and pressure"
    assert unread(core, 1300, "pupil", "pressure") == "angle"
    assert unread(core, 1300, "pupil", "pressure", "angle") is None
