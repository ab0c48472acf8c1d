"""The one grammar of typed numbers and its way back to text; twin of ``static/records/numbers.js``.

Digits are turned into a whole number of recorded units by digit arithmetic: no float ever exists,
so nothing is rounded. Languages disagree on "12,5", "1e2", "" and digits of other scripts; this
grammar takes none of them.
"""

import re

from webapp.records.errors import BadRecord

MINUS = "\u2212"
# A sign, up to four digits, up to three decimals: no quantity of an eye needs more.
GRAMMAR = re.compile(r"([+-]?)([0-9]{1,4})(?:\.([0-9]{1,3}))?")


def has_sign(text: str) -> bool:
    """Return whether the text says plus or minus."""
    return text[:1] in {"+", "-", MINUS}


def parse_scaled(text: str, scale: int, decimals: int, step: int, field: str = "number") -> int:
    """Return the whole number of recorded units that a typed text means, exactly.

    Args:
        text: as typed, such as "-12.25"; the true minus U+2212 is a minus too.
        scale: recorded units per shown unit, a power of ten (100 for hundredths of a dioptre).
        decimals: decimals that the quantity is shown with; more are refused.
        step: recorded units of the finest step that is allowed.
        field: name of the field, for the error.

    Raises:
        BadRecord: the text is not in the grammar, or is finer than the step.
    """
    match = GRAMMAR.fullmatch(text.replace(MINUS, "-"))
    if match is None:
        example = "12.25"[: 3 + decimals] if decimals else "12"
        raise BadRecord(field, f"This is not a number here. Type digits, such as {example}.")
    sign, whole, fraction = match.group(1), match.group(2), match.group(3) or ""
    if len(fraction) > decimals:
        raise BadRecord(field, _too_fine(scale, decimals, step))
    shift = int("1" + "0" * decimals)
    digits = int(whole) * shift + int((fraction + "0" * decimals)[:decimals] or "0")
    value = digits * (scale // shift)
    if value % step != 0:
        raise BadRecord(field, _too_fine(scale, decimals, step))
    return -value if sign == "-" else value


def shown_number(value: int, scale: int, decimals: int, signed: bool = False) -> str:
    """Return a recorded whole number as text in shown units, with U+2212 for minus.

    Args:
        value: recorded units.
        scale: recorded units per shown unit, a power of ten.
        decimals: at least this many decimals; more where the value would otherwise be cut.
        signed: whether a plus is written too (zero has no sign).
    """
    places = len(str(scale)) - 1
    whole, part = divmod(abs(value), scale)
    fraction = str(part).rjust(places, "0") if places else ""
    while len(fraction) > decimals and fraction.endswith("0"):
        fraction = fraction[:-1]
    fraction = fraction.ljust(decimals, "0")
    sign = MINUS if value < 0 else "+" if signed and value > 0 else ""
    return f"{sign}{whole}.{fraction}" if fraction else f"{sign}{whole}"


def _too_fine(scale: int, decimals: int, step: int) -> str:
    finest = shown_number(step, scale, decimals)
    return f"Finer than this quantity is recorded: the smallest step is {finest}."
