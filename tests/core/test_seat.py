"""An axis as the surgeon sees it: words by hand from a sketch, the left eye by mirroring.

Sketch: facing a patient who sits upright, the nose is at the right of a right eye (0 degrees), the
brow above (90). Who sits at the head of a patient on their back looks at that sketch upside down:
the brow is nearest, and what was at the right is at the left. Who sits at the temple has the temple
nearest and, at a right eye, the brow at the left.
"""

import math
from typing import Any

import pytest

from tests.core_runtime import Core

BY_HAND = [
    ("R", 15, "head", "Nose end 15\u00b0 towards you, temple end 15\u00b0 away."),
    ("R", 165, "head", "Nose end 15\u00b0 away, temple end 15\u00b0 towards you."),
    ("R", 75, "head", "Brow end 15\u00b0 to your left, cheek end 15\u00b0 to your right."),
    ("R", 105, "head", "Brow end 15\u00b0 to your right, cheek end 15\u00b0 to your left."),
    ("R", 15, "side", "Nose end 15\u00b0 to your left, temple end 15\u00b0 to your right."),
    ("R", 75, "side", "Brow end 15\u00b0 away, cheek end 15\u00b0 towards you."),
    ("R", 180, "head", "Nose end straight at the nose, temple end straight at the temple."),
    ("R", 90, "side", "Brow end straight at the brow, cheek end straight at the cheek."),
    ("L", 15, "head", "Nose end 15\u00b0 away, temple end 15\u00b0 towards you."),
    ("L", 165, "head", "Nose end 15\u00b0 towards you, temple end 15\u00b0 away."),
    ("L", 165, "side", "Nose end 15\u00b0 to your right, temple end 15\u00b0 to your left."),
]


@pytest.mark.parametrize(("eye", "axis_deg", "seat", "text"), BY_HAND)
def test_in_words(core: Core, eye: str, axis_deg: int, seat: str, text: str) -> None:
    """H33: by hand, for both eyes and both seats."""
    assert core("box.seat", "axis_words", eye, axis_deg, seat)["value"] == text


@pytest.mark.parametrize("seat", ["head", "side"])
@pytest.mark.parametrize("axis_deg", range(1, 180))
def test_the_left_eye_mirrors_the_right(core: Core, axis_deg: int, seat: str) -> None:
    """H33: the mirrored axis has the same words, with left and right changed over."""
    right = core("box.seat", "axis_words", "R", axis_deg, seat)["value"]
    left = core("box.seat", "axis_words", "L", 180 - axis_deg, seat)["value"]
    mirrored = right.replace("your left", "*").replace("your right", "your left")
    assert left == mirrored.replace("*", "your right")


def seen(core: Core, eye: str, axis_deg: int, seat: str) -> dict[str, Any]:
    """Return the drawing."""
    answer: dict[str, Any] = core("box.seat", "view", eye, axis_deg, None, seat)["value"]
    return answer


@pytest.mark.parametrize("eye", ["R", "L"])
@pytest.mark.parametrize(("seat", "nearest"), [("head", "brow"), ("side", "temple")])
def test_what_is_nearest_is_at_the_bottom(core: Core, eye: str, seat: str, nearest: str) -> None:
    """The four words lie a quarter apart, the nearest at the bottom (y runs downwards)."""
    words = {one["word"]: tuple(one["at"]) for one in seen(core, eye, 15, seat)["words"]}
    assert words[nearest] == (0, 1000)
    assert sorted(words.values()) == [(-1000, 0), (0, -1000), (0, 1000), (1000, 0)]
    assert words["brow"] == tuple(-one for one in words["cheek"])


@pytest.mark.parametrize("eye", ["R", "L"])
@pytest.mark.parametrize("seat", ["head", "side"])
@pytest.mark.parametrize("axis_deg", [15, 40, 100, 172, 180])
def test_the_drawing_is_turned_and_never_mirrored(
    core: Core, eye: str, seat: str, axis_deg: int
) -> None:
    """From 0 degrees the brow is a quarter counter-clockwise on, and the axis its own angle."""
    drawn = seen(core, eye, axis_deg, seat)
    at = {one["word"]: one["at"] for one in drawn["words"]}
    zero = at["nose" if eye == "R" else "temple"]
    expected = math.radians(axis_deg)
    # Counter-clockwise on a page whose y runs downwards.
    quarter = at["brow"]
    x = zero[0] * math.cos(expected) + quarter[0] * math.sin(expected)
    y = zero[1] * math.cos(expected) + quarter[1] * math.sin(expected)
    assert drawn["axis"][0] == pytest.approx([x, y], abs=1)
    assert drawn["axis"][1] == pytest.approx([-x, -y], abs=1)
    assert zero[0] * -quarter[1] - -zero[1] * quarter[0] > 0


def test_no_axis_and_no_such_seat(core: Core) -> None:
    """A spherical lens has no axis to draw; nobody sits at the feet."""
    drawn = core("box.seat", "view", "R", None, 180, "head")["value"]
    assert (drawn["axis"], drawn["text"]) == (None, None)
    assert drawn["incision_text"].startswith("Nose end straight")
    assert core("box.seat", "view", "R", 15, None, "feet") == {"refused": "seat"}
