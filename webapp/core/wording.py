"""Recorded integers as the text people read: sign, decimals and unit always the same way.

Whole-number arithmetic only, so that both Pythons write the same characters. Running text uses
the true minus sign U+2212; zero has no sign.
"""

MINUS = "\u2212"
TIMES = "\u00d7"
MICRO = "\u00b5"
EYE_WORDS = {"R": "Right eye", "L": "Left eye"}
# Said once on a page that names an SD. Within one SD of the mean lie 68 in 100 of a normal
# distribution, and up to 72 of the Student t that vaults are predicted by (8 degrees of freedom).
SD_EXPLAINED = "SD (standard deviation: of 10 such eyes about 7 end within one SD of the mean)"


def fixed(value: int, scale: int, decimals: int) -> str:
    """Return the size of ``value / scale`` with a fixed number of decimals, halves going up."""
    shown = 10**decimals
    steps = (2 * abs(value) * shown + scale) // (2 * scale)
    whole, rest = divmod(steps, shown)
    if decimals == 0:
        return str(whole)
    return str(whole) + "." + ("0" * decimals + str(rest))[-decimals:]


def signed(value_cD: int) -> str:
    """Return hundredths of a dioptre with their sign, such as "−8.25", "+0.50" or "0.00"."""
    sign = "" if value_cD == 0 else (MINUS if value_cD < 0 else "+")
    return sign + fixed(value_cD, 100, 2)


def spoken(value_cD: int) -> str:
    """Return hundredths of a dioptre as they are read aloud, such as "minus 8.25"."""
    word = "" if value_cD == 0 else ("minus " if value_cD < 0 else "plus ")
    return word + fixed(value_cD, 100, 2)


def dioptres(value_cD: int) -> str:
    """Return hundredths of a dioptre with sign and unit."""
    return signed(value_cD) + " D"


def size_in_dioptres(value_cD: int) -> str:
    """Return hundredths of a dioptre without a sign: a corneal power or a difference."""
    return fixed(value_cD, 100, 2) + " D"


def millimetres(value_um: int) -> str:
    """Return micrometres as millimetres with two decimals and unit."""
    return (MINUS if value_um < 0 else "") + fixed(value_um, 1000, 2) + " mm"


def micrometres(value_um: int) -> str:
    """Return whole micrometres with unit."""
    return (MINUS if value_um < 0 else "") + str(abs(value_um)) + " " + MICRO + "m"


def pressure(iop_dmmHg: int) -> str:
    """Return tenths of a millimetre of mercury as "14.5 mmHg", whole where they are whole."""
    return fixed(iop_dmmHg, 10, 1 if iop_dmmHg % 10 else 0) + " mmHg"


def acuity(logmar_c: int) -> str:
    """Return hundredths of logMAR as "0.02 logMAR"."""
    return (MINUS if logmar_c < 0 else "") + fixed(logmar_c, 100, 2) + " logMAR"


def refraction(sphere_cD: int, cylinder_cD: int, axis_deg: int | None) -> str:
    """Return a refraction or lens as "−8.25 −5.25 ×180 D", or "−8.25 D sphere" without cylinder."""
    if cylinder_cD == 0 or axis_deg is None:
        return dioptres(sphere_cD) + " sphere"
    return signed(sphere_cD) + " " + signed(cylinder_cD) + " " + TIMES + str(axis_deg) + " D"


def in_hundred(chance_e4: int) -> str:
    """Return a chance in ten-thousandths as a natural count: "73", "<1" or ">99" in 100."""
    if chance_e4 < 50:
        count = "<1"
    elif chance_e4 > 9950:
        count = ">99"
    else:
        count = str((chance_e4 + 50) // 100)
    return count + " in 100"


def count_of(number: int, one: str, many: str) -> str:
    """Return a number with its noun, such as "1 day" or "3 days"."""
    return str(number) + " " + (one if number == 1 else many)


def capital(text: str) -> str:
    """Return a sentence with its first letter made large."""
    return text[:1].upper() + text[1:]
