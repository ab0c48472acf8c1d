"""One step of the working, and its values in words: always from whole numbers."""

from collections import namedtuple

from webapp.core.optics import PowerVector
from webapp.core.units import to_step
from webapp.core.used import recorded_refraction
from webapp.core.wording import MINUS, fixed, refraction, signed

# inputs and gives: lists of (name, text). spoken: the formula as it is read aloud.
Step = namedtuple("Step", ("title", "formula", "spoken", "inputs", "gives", "source"))

INVERSE = "\u207b\u00b9"
SQUARED = "\u00b2"
DELTA = "\u03b4"
PRIME = "\u2032"
TRANSPOSED = "\u1d40"
LARGE_DELTA = "\u0394"


def as_json(step: Step) -> dict[str, object]:
    """Return a step as it crosses the door."""
    return {
        "title": step.title,
        "formula": step.formula,
        "spoken": step.spoken,
        "inputs": [{"name": name, "text": text} for name, text in step.inputs],
        "gives": [{"name": name, "text": text} for name, text in step.gives],
        "source": step.source,
    }


def power(vector: PowerVector) -> str:
    """Return a power as sphere, cylinder and axis: "−8.12 −1.98 ×15 D"."""
    return refraction(*recorded_refraction(vector))


def components(vector: PowerVector) -> str:
    """Return a power vector: "−10.25, +1.08, +0.63 D"."""
    return ", ".join([signed(to_step(part * 100.0, 1.0)) for part in vector]) + " D"


def decimal(value: float, decimals: int) -> str:
    """Return a number with a true minus sign and a fixed number of decimals."""
    scale = 1
    for _ in range(decimals):
        scale *= 10
    whole = to_step(value * scale, 1.0)
    return (MINUS if whole < 0 else "") + fixed(whole, scale, decimals)


def in_mm(value_mm: float) -> str:
    """Return a distance in millimetres, to the micrometre."""
    return decimal(value_mm, 3) + " mm"


def in_100(shown: dict[str, object], name: str) -> str:
    """Return a chance of a length as the plan shows it, to the ten-thousandth: "67.20 in 100"."""
    return fixed(whole(shown, name), 100, 2) + " in 100"


def whole(shown: dict[str, object], name: str) -> int:
    """Return one of the whole numbers of a length as the plan shows it."""
    value = shown[name]
    return value if isinstance(value, int) else 0
