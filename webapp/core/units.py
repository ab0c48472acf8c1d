"""Named constants, unit conversions, and the only place where a number becomes a count of steps."""

# Refractive index of the aqueous humour used for vergence in the eye.
# Source: Gullstrand 1909 schematic eye (Helmholtz, Handbuch der physiologischen Optik), 1.336.
AQUEOUS_INDEX = 1.336

# Keratometric index: the fictitious index with which a 7.5 mm radius reads exactly 45.00 D.
# Source: instrument convention; Bennett & Rabbetts, Clinical Visual Optics (from memory).
KERATOMETRIC_INDEX = 1.3375


def to_step(value: float, step: float) -> int:
    """Return ``value`` as a whole count of ``step``, an exact half going away from zero.

    Recorded results are such integers, so that two machines agree on them to the last digit.

    Raises:
        ValueError or OverflowError: the value is not finite.

    Example: ``to_step(-0.125, 0.25)`` is -1 and ``to_step(12.74, 0.25)`` is 51.
    """
    steps = abs(value / step)
    whole = int(steps)
    # Not int(steps + 0.5): 0.49999999999999994 + 0.5 is 1.0 in binary.
    if steps - whole >= 0.5:
        whole += 1
    return -whole if value / step < 0 else whole


def billionths(value: float) -> int:
    """Return a value as a whole number of billionths, for choosing among several.

    Where two options are equal by symmetry, two machines may find either the larger by its last
    bit; counted so, both find them equal and the same rule decides.
    """
    return to_step(value, 1e-9)


def plain(value: float) -> str:
    """Return a limit as text with up to three decimals and no trailing zeros.

    Written out because the two Pythons format exact halves differently.
    """
    thousandths = to_step(value, 0.001)
    sign = "-" if thousandths < 0 else ""
    whole, rest = divmod(abs(thousandths), 1000)
    if rest == 0:
        return sign + str(whole)
    digits = ("00" + str(rest))[-3:]
    while digits[-1] == "0":
        digits = digits[:-1]
    return sign + str(whole) + "." + digits


def power_of_radius(radius_mm: float) -> float:
    """Return the keratometry reading [D] of a corneal radius [mm], index 1.3375.

    Example: 7.50 mm reads 45.00 D.
    """
    return 1000.0 * (KERATOMETRIC_INDEX - 1.0) / radius_mm
