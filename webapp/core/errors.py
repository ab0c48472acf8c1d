"""How the core says that a value cannot be used: by field, in one plain sentence.

ValueError
└── BadInput(field, message)          something about the input must be put right first
    └── OutOfRange(field, low, high, unit)   a number outside what is physically meaningful

A clinically unusual value is never an error here: it is a finding of a plan.
"""

from webapp.core.units import plain


class BadInput(ValueError):
    """An input that cannot be used; ``field`` names it and ``message`` says what to do."""

    def __init__(self, field: str, message: str) -> None:
        """Keep the field and the sentence apart, so that a page can put one beside the other."""
        super().__init__(message)
        self.field = field
        self.message = message


class OutOfRange(BadInput):
    """A number outside the range that the calculation is valid for."""

    def __init__(self, field: str, low: float, high: float, unit: str) -> None:
        """Word the range; ``unit`` may be empty."""
        ending = " " + unit if unit else ""
        super().__init__(
            field,
            field
            + " must be from "
            + plain(low)
            + " to "
            + plain(high)
            + ending
            + "; check the number and its unit",
        )


def require(field: str, value: float, low: float, high: float, unit: str) -> None:
    """Raise OutOfRange unless ``low <= value <= high``; a value that is not a number fails too."""
    if not low <= value <= high:
        raise OutOfRange(field, low, high, unit)
