"""Recorded integers as people read them: true minus, explicit plus, fixed decimals, no floats."""

MINUS = "−"


def fixed(value: int, scale: int, decimals: int) -> str:
    """Return ``value`` / ``scale`` with ``decimals`` and a minus if below zero, halves away from 0.

    Args:
        value: recorded integer.
        scale: recorded units in one shown unit (100 for cD shown as D, 1000 for um as mm).
        decimals: digits after the point.

    Example: ``fixed(11625, 1000, 2)`` is ``"11.63"``.
    """
    tens = 10**decimals
    steps = (2 * abs(value) * tens + scale) // (2 * scale)
    whole, rest = divmod(steps, tens)
    digits = f"{whole}.{rest:0{decimals}d}" if decimals else str(whole)
    return MINUS + digits if value < 0 and steps else digits


def signed(value: int, scale: int, decimals: int) -> str:
    """Return ``value`` / ``scale`` with its sign always written; zero carries none."""
    text = fixed(value, scale, decimals)
    is_zero = not any(digit in "123456789" for digit in text)
    return text if value < 0 or is_zero else "+" + text


def dioptres(value_cd: int) -> str:
    """Return hundredths of a dioptre as signed dioptres with two decimals, without the unit."""
    return signed(value_cd, 100, 2)


def unsigned_dioptres(value_cd: int) -> str:
    """Return a corneal power in dioptres with two decimals, without sign or unit."""
    return fixed(value_cd, 100, 2)


def millimetres(value_um: int, decimals: int = 2) -> str:
    """Return micrometres as millimetres, without the unit."""
    return fixed(value_um, 1000, decimals)


def in_hundred(share_e4: int) -> str:
    """Return a probability in ten-thousandths as a natural count in 100: "<1", "96", ">99"."""
    if share_e4 < 50:
        return "<1"
    if share_e4 >= 9950:
        return ">99"
    return fixed(share_e4, 100, 0)


def spoken_in_hundred(share_e4: int) -> str:
    """Return the count in 100 for reading aloud: "under 1", "over 99"."""
    return in_hundred(share_e4).replace("<", "under ").replace(">", "over ")


def short_hash(text: str | None, groups: int = 2) -> str:
    """Return the first ``groups`` groups of four digits of a hash, spaced, for comparing by eye."""
    digits = (text or "")[: 4 * groups].upper()
    return " ".join(digits[start : start + 4] for start in range(0, len(digits), 4))
