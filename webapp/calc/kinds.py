"""Kinds of input that only the command line has: counts, and the text of a scanned code."""

from webapp.core.errors import BadInput
from webapp.core.fields import Number, number_of


class Whole:
    """A whole number within limits, ends included; 3.0 is one."""

    def __init__(self, low: int, high: int) -> None:
        """Keep the ends."""
        self.range = Number(low, high)

    def read(self, path: str, value: object) -> int:
        """Return the number. Raises: BadInput."""
        number = number_of(path, value)
        if number != int(number):
            raise BadInput(path, path + " must be a whole number")
        return int(self.range.read(path, number))

    def text(self) -> str:
        """Describe the range."""
        return "whole number, " + self.range.text()


class Scan:
    """The text of a scanned code, control characters included."""

    LONGEST = 500

    def read(self, path: str, value: object) -> str:
        """Return the text. Raises: BadInput."""
        if not isinstance(value, str):
            raise BadInput(path, path + " must be text, as the reader gave it")
        if not 0 < len(value) <= self.LONGEST:
            raise BadInput(path, f"{path} must have 1 to {self.LONGEST} characters")
        return value

    def text(self) -> str:
        """Describe the length."""
        return f"text of 1 to {self.LONGEST} characters"
