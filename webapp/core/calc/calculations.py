"""Every calculation that can be asked for by name, and the one way to ask.

The command line and the browser both come through ``answer``; what differs is only how the text
arrives.
"""

from webapp.core import fields
from webapp.core.calc import cells, power, vault
from webapp.core.errors import BadInput
from webapp.core.fields import Calculation

ALL = power.CALCULATIONS + vault.CALCULATIONS + cells.CALCULATIONS


def find(name: str, among: tuple[Calculation, ...] = ALL) -> Calculation:
    """Return a calculation by its name.

    Raises:
        BadInput: there is none of that name.
    """
    for calculation in among:
        if calculation.name == name:
            return calculation
    names = ", ".join(calculation.name for calculation in among)
    raise BadInput("name", "there is no calculation of this name; there are " + names)


def answer(name: str, data: object) -> dict[str, object]:
    """Return the answer to a JSON object, under the names of the answer.

    Raises:
        BadInput: the name, or a field of the data, cannot be used.
    """
    return worked(find(name), data)


def worked(calculation: Calculation, data: object) -> dict[str, object]:
    """Return the answer of one calculation. Raises: as ``answer``."""
    given = calculation.input.read("", data)
    try:
        found: dict[str, object] = calculation.work(given)
    except (ArithmeticError, ValueError) as problem:
        if isinstance(problem, BadInput):
            raise
        raise BadInput("input", "these values cannot be calculated with together") from None
    return found


def help_lines(calculation: Calculation) -> list[str]:
    """Return what a calculation takes, one line a field, from the tables that check it."""
    return [
        calculation.name + ": " + calculation.summary,
        "One JSON object with these fields and no others:",
    ] + fields.lines(calculation.input.build.fields)
