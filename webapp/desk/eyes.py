"""The two eyes in words and places: right eye at the viewer's left edge, left eye at the right."""

from typing import NamedTuple


class Eye(NamedTuple):
    """How one eye is named: record code, word, trade letters and screen side."""

    code: str
    word: str
    trade: str
    side: str


RIGHT = Eye("R", "right eye", "OD", "right")
LEFT = Eye("L", "left eye", "OS", "left")
BOTH = (RIGHT, LEFT)


def eye_of(code: str) -> Eye:
    """Return the names of the eye with record code ``code``.

    Raises:
        KeyError: ``code`` is neither R nor L; no eye is ever assumed.
    """
    return {"R": RIGHT, "L": LEFT}[code]


def other_eye(code: str) -> Eye:
    """Return the fellow eye of ``code``."""
    return LEFT if eye_of(code) is RIGHT else RIGHT
