"""Two eyes with equal values: pairs that are merely alike stay silent, copies do not."""

import random
from typing import Any

from webapp.core.entry import Entry
from webapp.core.limits import defaults
from webapp.core.rules.same_values import COMPARED, equal_kinds, weight

PAIRS = 20_000
Readings = dict[str, list[Any]]


def eyes(rng: random.Random) -> tuple[Readings, Readings]:
    """Return a pair as alike as eyes of a person are, read in coarse steps (common practice).

    Differences between the eyes, one SD: sphere 0.75, cylinder 0.5, cornea 0.4 D; axis 15 degrees
    from the mirror; depth 60, thickness 8, white-to-white 100, sulcus 150, rise 60 um; 100 cells.
    """

    def pair(mean: float, spread: float, apart: float, step: int) -> tuple[int, int]:
        middle, half = rng.gauss(mean, spread), rng.gauss(0, apart) / 2
        return round((middle - half) / step) * step, round((middle + half) / step) * step

    sphere, cylinder = pair(-850, 300, 75, 25), pair(-125, 60, 50, 25)
    flat, steep = pair(4300, 140, 40, 25), pair(4400, 140, 40, 25)
    axis, meridian = mirrored(rng, 180), mirrored(rng, 90)
    sizes = {
        "reading.chamber_depth": ("depth_um", pair(3150, 220, 60, 10)),
        "reading.corneal_thickness": ("thickness_um", pair(534, 33, 8, 1)),
        "reading.white_to_white": ("diameter_um", pair(11700, 400, 100, 100)),
        "reading.sulcus_to_sulcus": ("diameter_um", pair(12100, 450, 150, 10)),
        "reading.lens_rise": ("rise_um", pair(280, 230, 60, 10)),
        "reading.endothelial_count": ("ecd_pmm2", pair(2780, 250, 100, 1)),
    }
    both = []
    for side in (0, 1):
        made = {kind: [entry({name: values[side]})] for kind, (name, values) in sizes.items()}
        refraction = {"sphere_cD": sphere[side], "cylinder_cD": cylinder[side]}
        made["reading.refraction"] = [
            entry({**refraction, "axis_deg": axis[side], "plane": "spectacle"})
        ]
        cornea = {"flat_cD": flat[side], "steep_cD": steep[side], "flat_radius_um": None}
        made["reading.keratometry"] = [
            entry({**cornea, "steep_radius_um": None, "steep_meridian_deg": meridian[side]})
        ]
        both.append(made)
    return both[0], both[1]


def mirrored(rng: random.Random, about_deg: int) -> tuple[int, int]:
    """Return two axes in steps of 5 degrees, the second about the first one's mirror."""
    first = round(rng.gauss(about_deg, 20) / 5) * 5 % 180
    second = round((180 - first + rng.gauss(0, 15)) / 5) * 5 % 180
    return first or 180, second or 180


def entry(body: dict[str, object]) -> Entry:
    """Return a reading of which only the body matters here."""
    return Entry(*[""] * 12, body, None)


def points(here: Readings, there: Readings) -> int:
    """Return what the equal quantities of a pair count."""
    return weight(here, equal_kinds(here, there))


class TestPairs:
    """At the default limit of four (common practice), with all eight quantities read."""

    def test_pairs_that_are_only_alike_stay_silent(self) -> None:
        """Fewer than one pair in a thousand; every one of their copies is seen."""
        rng, limit = random.Random(20261125), defaults()["same_values_stop"]  # noqa: S311
        alarms = copies = 0
        for _ in range(PAIRS):
            here, there = eyes(rng)
            alarms += points(here, there) >= limit
            copies += points(here, here) >= limit
        assert alarms < PAIRS / 1000
        assert copies == PAIRS

    def test_no_reading_equals_nothing(self) -> None:
        """Two eyes without readings have nothing in common."""
        nothing: Readings = {kind: [] for kind in COMPARED}
        assert equal_kinds(nothing, nothing) == []
