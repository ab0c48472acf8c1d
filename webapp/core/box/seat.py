"""An axis as the surgeon sees it from where they sit: in words, and as a drawing's coordinates.

Positions on the eye are counted from 0 to 360 degrees counter-clockwise facing the patient, in
either eye with 0 at the right of whoever faces them: the nose of a right eye, the temple of a left
one (hazard H33). The drawing is that picture turned, never mirrored: the brow comes to lie at the
bottom for who sits at the head, the temple for who sits at the side.
"""

import math

from webapp.core.errors import BadInput
from webapp.core.units import to_step
from webapp.core.wording import capital

SEATS = ("head", "side")
# What lies at each quarter of the picture facing the patient, from 0 in steps of 90 degrees.
AROUND = {
    "R": ("nose", "brow", "temple", "cheek"),
    "L": ("temple", "brow", "nose", "cheek"),
}
# Where each quarter of the turned picture lies for who looks at it, in the same order.
DIRECTIONS = ("to your right", "away", "to your left", "towards you")
BOTTOM_DEG = 270
NEAREST_YOU = {"head": "brow", "side": "temple"}


def turn_deg(eye: str, seat: str) -> int:
    """Return by how much [deg] the picture facing the patient is turned for a seat."""
    if seat not in SEATS:
        raise BadInput("seat", "a surgeon sits at the head or at the side")
    return (BOTTOM_DEG - 90 * AROUND[eye].index(NEAREST_YOU[seat])) % 360


def axis_words(eye: str, axis_deg: int, seat: str) -> str:
    """Return where the two ends of an axis lie for who sits there.

    Example: 15 in a right eye, from the head: "Nose end 15\u00b0 towards you, temple end 15\u00b0
    away." (by hand, on a sketch of the eye turned round).
    """
    both = [end_words(eye, one, seat) for one in ends(axis_deg)]
    first = [words for words in both if words[:4] in ("nose", "brow")]
    return capital(", ".join(first + [words for words in both if words not in first])) + "."


def ends(axis_deg: int) -> list[int]:
    """Return the two positions [deg] at which an axis ends."""
    return [axis_deg % 360, (axis_deg + 180) % 360]


def end_words(eye: str, position_deg: int, seat: str) -> str:
    """Return what an end lies next to, and by how much it is off it, to which side."""
    # Half-way it counts from nose or temple, in both eyes: so the two mirror each other.
    quarter = (position_deg + (45 if position_deg % 180 == 135 else 44)) // 90 % 4
    beside = position_deg - 90 * quarter
    if beside > 180:
        beside -= 360
    word = AROUND[eye][quarter]
    if beside == 0:
        return word + " end straight at the " + word
    next_deg = 90 * (quarter + (1 if beside > 0 else -1)) + turn_deg(eye, seat)
    return word + " end " + str(abs(beside)) + "\u00b0 " + DIRECTIONS[next_deg // 90 % 4]


def view(eye: str, axis_deg: int | None, incision_deg: int | None, seat: str) -> dict[str, object]:
    """Return the drawing for one seat, and its sentence.

    Coordinates are thousandths of the limbus's radius, x to the right and y downwards. ``axis`` and
    ``incision`` are the two ends of each, None where there is none: a meridian has two ends, and
    which of them is cut is not said here.
    """
    turned = turn_deg(eye, seat)
    words = [
        {"word": word, "at": point(90 * place + turned)} for place, word in enumerate(AROUND[eye])
    ]
    return {
        "seat": seat,
        "turn_deg": turned,
        "words": words,
        "axis": None if axis_deg is None else line(axis_deg, turned),
        "incision": None if incision_deg is None else line(incision_deg, turned),
        "text": None if axis_deg is None else axis_words(eye, axis_deg, seat),
        "incision_text": None if incision_deg is None else axis_words(eye, incision_deg, seat),
    }


def line(axis_deg: int, turned_deg: int) -> list[list[int]]:
    """Return the two ends of an axis in the turned picture."""
    return [point(one + turned_deg) for one in ends(axis_deg)]


def point(position_deg: int) -> list[int]:
    """Return a position on the limbus as x and y, in thousandths of its radius."""
    angle = math.radians(position_deg % 360)
    return [to_step(math.cos(angle), 0.001), to_step(-math.sin(angle), 0.001)]
