"""The field of ``label``: the core reads the code, the command line knows what day it is."""

from datetime import UTC, datetime
from typing import NamedTuple

from webapp.calc.kinds import Scan
from webapp.core.box import code
from webapp.core.fields import Calculation, Field, Group

NAME = "label"


class LabelInput(NamedTuple):
    """A scanned code."""

    data: str


def answer_label(given: LabelInput) -> dict[str, object]:
    """Answer ``label``. Raises: BadInput."""
    today = datetime.now(UTC).date().isoformat()
    return dict(code.read(given.data, today)._asdict())


CALCULATION = Calculation(
    NAME,
    "What the scanned GS1 code of a lens box says; null for what it does not hold.",
    Group(
        LabelInput,
        (
            Field(
                "data",
                Scan(),
                True,
                "The GS1 element string with FNC1 as ASCII 29; ]d2, ]C1 or ]Q3 may stand first. "
                "A lot that seems to hold the serial number too is refused.",
            ),
        ),
    ),
    answer_label,
)
