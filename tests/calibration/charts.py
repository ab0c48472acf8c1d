"""The records of an invented person: two eyes measured as a camp would, second eye to be planned.

Everything but the diameters is an ordinary eye in the published norms, as in
``tests/core/test_caution_budget.py``: it decides which cautions a plan raises, not the vault.
"""

from random import Random
from typing import Any, NamedTuple

from tests.calibration import truth
from tests.core import records, surgeries

Entry = records.Entry
FIRST, SECOND = "L", "R"
LENGTHS_UM: list[int] = records.MODEL_T["lengths_um"]  # type: ignore[assignment]


class Person(NamedTuple):
    """One invented person at a centre."""

    first: truth.Eye
    second: truth.Eye
    entries: list[Entry]
    """Both eyes measured once each; the first eye's before its surgery."""
    first_white_um: int
    second_white_um: int
    second_depth_um: int
    second_thickness_um: int
    paper: list[Entry]
    """An old prescription of each eye."""


def drawn(rng: Random, world: truth.World, there: truth.Centre) -> Person:
    """Return a person with both eyes measured once."""
    first, second = truth.eyes(rng, world)
    ordinary = two_ordinary_eyes(rng)
    whites = [truth.white_um(rng, world, there, eye) for eye in (first, second)]
    entries = [records.person(birth_date=f"{rng.randint(1984, 2004)}-05-02"), records.answers()]
    paper = []
    for eye, taken, white_um, readings in (
        (FIRST, surgeries.BEFORE, whites[0], ordinary[0]),
        (SECOND, records.WALL, whites[1], ordinary[1]),
    ):
        readings["reading.white_to_white"] = {"diameter_um": white_um}
        entries += [
            records.reading(kind, eye, taken, **readings.get(kind, {}))
            for kind in records.PLAIN_EYE
        ]
        paper.append(earlier(rng, eye, taken, readings["reading.refraction"]))
    right = ordinary[1]
    return Person(
        first, second, entries, whites[0], whites[1],
        right["reading.chamber_depth"]["depth_um"],
        right["reading.corneal_thickness"]["thickness_um"], paper,
    )  # fmt: skip


def two_ordinary_eyes(rng: Random) -> list[dict[str, dict[str, Any]]]:
    """Return the readings of a left and a right eye that resemble each other.

    Pupil 6.45 +- 0.82 mm, thickness 534 +- 33 um, cells 2780 +- 250 (abstracts read); how alike the
    two eyes are, and the rest, is common practice.
    """
    sphere, cylinder = rng.gauss(-850, 250), max(0.0, rng.gauss(100, 80))
    axis, cornea = rng.randint(1, 180), rng.gauss(4300, 140)
    common = {
        name: rng.gauss(mean, spread)
        for name, mean, spread in (
            ("depth", 3150, 200), ("thickness", 534, 32), ("pupil", 6450, 800),
            ("pressure", 145, 26), ("cells", 2780, 240),
        )
    }  # fmt: skip
    made = []
    for eye in (FIRST, SECOND):
        near_axis = (axis + round(rng.gauss(0, 5)) - 1) % 180 + 1
        lies = near_axis if eye == SECOND else (180 - near_axis) or 180
        worn = quarter(max(0.0, rng.gauss(cylinder, 25)))
        flat = 5 * round(rng.gauss(cornea, 30) / 5)
        steep = flat + 5 * round(max(0.0, rng.gauss(worn + 20, 25)) / 5)
        made.append({
            "reading.refraction": {
                "sphere_cD": min(-300, max(-1400, quarter(rng.gauss(sphere, 60)))),
                "cylinder_cD": -worn, "axis_deg": lies if worn else None,
            },
            "reading.keratometry": {
                "flat_cD": flat, "steep_cD": steep, "steep_meridian_deg": (lies + 89) % 180 + 1,
            },
            "reading.chamber_depth": {"depth_um": near(rng, common, "depth", 30, 10, 2850)},
            "reading.corneal_thickness": {
                "thickness_um": near(rng, common, "thickness", 6, 1, 485),
            },
            "reading.pupil": {"diameter_um": near(rng, common, "pupil", 150, 100, 3000)},
            "reading.pressure": {"iop_dmmHg": near(rng, common, "pressure", 8, 10, 80)},
            "reading.endothelial_count": {"ecd_pmm2": near(rng, common, "cells", 60, 1, 1500)},
        })  # fmt: skip
    return made


def near(
    rng: Random, common: dict[str, float], name: str, spread: float, step: int, least: int
) -> int:
    """Return one eye's reading of what the two eyes have nearly in common."""
    return max(least, step * round(rng.gauss(common[name], spread) / step))


def quarter(centi_dioptres: float) -> int:
    """Return a power in steps of a quarter of a dioptre."""
    return 25 * round(centi_dioptres / 25.0)


def earlier(rng: Random, eye: str, taken: str, now: dict[str, Any]) -> Entry:
    """Return a prescription of 20 months ago, apart by test-retest alone (+-0.70 D, 95 in 100)."""
    body = {**now, "sphere_cD": now["sphere_cD"] + quarter(rng.gauss(0, 36))}
    return records.reading("reading.earlier_refraction", eye, taken, **body)


def operated(person: Person, length_um: int, seen_um: int, days: int) -> list[Entry]:
    """Return the first eye's surgery with a lens of a length, and the vault read days later."""
    surgery = surgeries.implanted(FIRST, {**surgeries.LENS, "length_um": length_um})
    taken = f"2026-{10 if days <= 11 else 11}-{(20 + days - 1) % 31 + 1:02}T08:00:00.000Z"
    return [surgery, surgeries.found("vault", surgery, FIRST, taken, vault_um=seen_um)]


def further(rng: Random, world: truth.World, there: truth.Centre, person: Person, kind: str,
            number: int) -> Entry:  # fmt: skip
    """Return one more reading of the second eye; ``number`` tells repeats apart."""
    if kind == "reading.white_to_white":
        body = {"diameter_um": truth.white_um(rng, world, there, person.second)}
    elif kind == "reading.sulcus_to_sulcus":
        body = {"diameter_um": truth.scan_um(rng, world, there, person.second)}
    else:
        body = {"rise_um": 10 * round(rng.gauss(person.second.rise_mm, 0.05) * 100.0)}
    return records.reading(kind, SECOND, seq=100 + number, **body)
