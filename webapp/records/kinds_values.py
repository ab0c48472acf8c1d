"""Checks of one value against its field in ``kinds.json``; ``kinds_values.js`` is the twin.

Each check returns the sentence of what is wrong and what to do, or None. Nothing is repaired.
"""

import re
import unicodedata
from collections.abc import Callable
from functools import lru_cache
from typing import Any

from webapp.records.errors import BadRecord
from webapp.records.numbers import has_sign, parse_scaled, shown_number

Field = dict[str, Any]

# What would hide or reorder text on a screen or a printed order: control characters, direction
# marks and overrides, fillers that take no room. The joiners U+200C and U+200D spell names.
_UNSHOWABLE = re.compile(
    "[\u0000-\u001f\u007f-\u009f\u00ad\u115f\u1160\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f"
    "\u3164\ufeff\uffa0\U000e0000-\U000e0fff]"
)
_NOT_ASCII = re.compile("[^ -~]")
_SURROGATE = re.compile("[\ud800-\udfff]")
_DATE = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_INSTANT = re.compile(
    r"([0-9]{4}-[0-9]{2}-[0-9]{2})T([0-9]{2}):([0-9]{2}):([0-9]{2})(?:\.[0-9]{3})?"
    r"(?:Z|[+-]([0-9]{2}):([0-9]{2}))"
)
_ID = re.compile(r"[0-9a-f]{64}")
_UUID7 = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
_MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def shown_text(field: Field, value: int) -> str:
    """Return a recorded number as text with its unit, such as "\u221212.25 D"."""
    return _bare(field, value) + _unit(field)


def range_text(field: Field) -> str:
    """Return the limits of a number as a phrase: "Sphere goes from \u221235.00 to +20.00 D"."""
    low, high = _bare(field, field["min"]), _bare(field, field["max"])
    return f"{field['label']} goes from {low} to {high}{_unit(field)}"


def is_unusual(field: Field, value: int) -> bool:
    """Return whether a possible number is outside what is usual, so worth a second look."""
    low = int(field["unusual_min"] if "unusual_min" in field else field["min"])
    high = int(field["unusual_max"] if "unusual_max" in field else field["max"])
    return not low <= value <= high


def parse_field(name: str, field: Field, text: str) -> int:
    """Return the whole number that a typed text records in a field.

    Raises:
        BadRecord: not a number, without its sign where plus and minus must be said, finer than
            the step, or out of the field's range.
    """
    value = parse_scaled(text, field["scale"], field["shown_decimals"], field["step"], name)
    if field["signed"] == 1 and value != 0 and not has_sign(text):
        raise BadRecord(name, f"{field['label']} needs its sign. Say plus or minus.")
    if value == 0:
        # Axis 0 and 180 are one direction, recorded as 180.
        value = int(field.get("zero_means", 0))
    problem = _int(field, value)
    if problem is not None:
        raise BadRecord(name, problem)
    return value


def named(field: Field) -> str:
    """Return a field's label as part of a sentence; a question stands in quotation marks."""
    label: str = field["label"]
    return f"\u201c{label}\u201d" if label.endswith("?") else label


def is_plain(field: Field) -> bool:
    """Return whether a field holds one value of a plain type."""
    return field["type"] in _CHECKS


def value_problem(field: Field, value: object) -> str | None:
    """Return what is wrong with one value of a plain type (not a list, object or map)."""
    return _CHECKS[field["type"]](field, value)


def letters_problem(field: Field, value: object, wall: str | None) -> str | None:
    """Return which character of a number on a label is not printable ASCII, if any.

    Letters of other scripts, or of full width, look alike and are other numbers. A record whose
    own clock, ``wall``, is of before the day on which this was asked stays as it was written; a
    form that is being filled has none.
    """
    since = field.get("ascii_since")
    if since is None or not isinstance(value, str) or (wall is not None and wall[:10] < since):
        return None
    strange = _NOT_ASCII.search(value)
    if strange is None:
        return None
    return (
        f"{field['label']}: \u201c{strange[0]}\u201d is none of the letters A to Z, digits and "
        "signs of an English keyboard, though it may look like one. Type it with such a keyboard."
    )


def _int(field: Field, value: object) -> str | None:
    # A bool is an int to Python; type() is not fooled.
    if type(value) is not int:
        return f"{field['label']} must be a whole number as recorded."
    if not field["min"] <= value <= field["max"]:
        return f"{range_text(field)}. Check the value and give it again."
    if value % field["step"] != 0:
        return f"{field['label']} goes in steps of {_bare(field, field['step'])}{_unit(field)}."
    return None


def _text(field: Field, value: object) -> str | None:
    label = field["label"]
    if not isinstance(value, str):
        return f"{label} must be text."
    one_line = value.replace("\n", "") if field.get("lines") else value
    problems = (
        (value.strip() == "", "is still empty."),
        (_UNSHOWABLE.search(one_line), "holds a character that can't be shown. Type it again."),
        (value.strip() != value, "begins or ends with a space. Remove it."),
        (_SURROGATE.search(value), "holds half a character. Type it again."),
        (not unicodedata.is_normalized("NFC", value), "is not in Unicode's composed form (NFC)."),
        (len(value) > field["max_chars"], f"is longer than {field['max_chars']} characters."),
    )
    return next((f"{label} {problem}" for is_so, problem in problems if is_so), None)


def _choice(field: Field, value: object) -> str | None:
    if any(value == choice for choice, _label in field["choices"]):
        return None
    labels = ", ".join(label for _choice, label in field["choices"])
    return f"Choose one for {named(field)}: {labels}."


def _date(field: Field, value: object) -> str | None:
    if isinstance(value, str) and _is_date(value):
        return None
    return f"{field['label']} is not a date of the calendar. Give year, month and day."


def _instant(field: Field, value: object) -> str | None:
    match = _INSTANT.fullmatch(value) if isinstance(value, str) else None
    if match is not None and _is_date(match[1]):
        hour, minute, second = int(match[2]), int(match[3]), int(match[4])
        offset_hour, offset_minute = int(match[5] or 0), int(match[6] or 0)
        if hour < 24 and minute < 60 and second < 60 and offset_hour < 15 and offset_minute < 60:
            return None  # no place on earth is more than 14 hours from UTC
    return f"{field['label']} is not a date and time with its time zone."


def _id(field: Field, value: object) -> str | None:
    if isinstance(value, str) and _ID.fullmatch(value):
        return None
    return f"{field['label']} is not an id of 64 hexadecimal digits."


def _uuid(field: Field, value: object) -> str | None:
    if isinstance(value, str) and _UUID7.fullmatch(value):
        return None
    return f"{field['label']} is not a UUID of version 7 in lower case."


@lru_cache(maxsize=4096)
def _is_date(text: str) -> bool:
    match = _DATE.fullmatch(text)
    if match is None:
        return False
    year, month, day = int(match[1]), int(match[2]), int(match[3])
    if not (1900 <= year <= 2100 and 1 <= month <= 12):
        return False
    leap = month == 2 and year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
    return 1 <= day <= _MONTH_DAYS[month - 1] + leap


def _bare(field: Field, value: int) -> str:
    return shown_number(value, field["scale"], field["shown_decimals"], field["signed"] == 1)


def _unit(field: Field) -> str:
    unit = field["unit"]
    return unit if unit in {"", "°", "%"} else f" {unit}"


_CHECKS: dict[str, Callable[[Field, object], str | None]] = {
    "int": _int,
    "text": _text,
    "choice": _choice,
    "date": _date,
    "instant": _instant,
    "id": _id,
    "uuid": _uuid,
}
