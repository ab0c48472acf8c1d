"""How many cautions an ordinary eye raises: too many, and people stop reading them (H41).

A seeded invented population in the published norms. The shares are tracked with a ceiling: lower
it when they fall, and think hard before raising it.
"""

import json
import random
from typing import Any

import pytest

from tests.core import records
from webapp.core import door

EYES = 300
Found = list[dict[str, Any]]


def eye(rng: random.Random) -> list[records.Entry]:
    """Return an eye drawn from norms.

    White-to-white 11.68 +- 0.42 and pupil 6.45 +- 0.82 mm, thickness 534 +- 33 um, cells
    2780 +- 250 (abstracts read); the rest is common practice.
    """

    def drawn(mean: float, sd: float, step: int) -> int:
        return round(rng.gauss(mean, sd) / step) * step

    flat, cylinder = drawn(4300, 140, 5), -max(0, drawn(100, 80, 25))
    entries = records.whole_eye(
        refraction={
            "sphere_cD": -min(1800, max(300, drawn(850, 300, 25))),
            "cylinder_cD": cylinder,
            "axis_deg": rng.randint(1, 180) if cylinder else None,
        },
        keratometry={"flat_cD": flat, "steep_cD": flat + max(0, drawn(110, 60, 5))},
        chamber_depth={"depth_um": max(2850, drawn(3150, 220, 10))},
        corneal_thickness={"thickness_um": drawn(534, 33, 1)},
        white_to_white={"diameter_um": drawn(11680, 420, 10)},
        pupil={"diameter_um": drawn(6450, 820, 100)},
        pressure={"iop_dmmHg": max(80, drawn(145, 28, 10))},
        endothelial_count={"ecd_pmm2": drawn(2780, 250, 1)},
    )
    entries[0] = records.person(birth_date=f"{rng.randint(1982, 2005)}-05-02")
    return entries


def with_prescription(rng: random.Random, entries: list[records.Entry]) -> list[records.Entry]:
    """Return an eye with a prescription of 20 months ago that differs by test-retest alone.

    Test-retest of the mean sphere is +-0.70 D for 95 in 100 (abstract read), so its SD is 0.36 D.
    """
    now = next(e for e in entries if e["payload"]["kind"] == "reading.refraction")["payload"]
    body = now["body"]
    before = {name: body[name] for name in ("sphere_cD", "cylinder_cD", "axis_deg")}
    before["sphere_cD"] += round(rng.gauss(0, 36) / 25) * 25
    return [*entries, records.reading("reading.earlier_refraction", **before)]


def cautions(entries: list[records.Entry]) -> Found:
    """Return the cautions of a plan of an eye."""
    answer = json.loads(door.call(json.dumps(records.plan_request(entries))))
    assert answer["possible"] == 1
    return [one for one in answer["findings"] if one["level"] == "caution"]


@pytest.fixture(scope="module")
def population() -> list[Found]:
    """Return the cautions of each eye of the population."""
    rng = random.Random(20261125)  # noqa: S311 - a repeatable population, no secret
    return [cautions(eye(rng)) for _ in range(EYES)]


@pytest.fixture(scope="module")
def documented() -> list[Found]:
    """Return the cautions of the same eyes, each with an old prescription."""
    rng = random.Random(20261125)  # noqa: S311 - the same eyes
    paper = random.Random(7)  # noqa: S311 - a repeatable population, no secret
    return [cautions(with_prescription(paper, eye(rng))) for _ in range(EYES)]


def share(population: list[Found], code: str) -> float:
    """Return the share of eyes that raise a caution."""
    return sum(code in [one["code"] for one in found] for found in population) / EYES


class TestShares:
    """Measured on this population with the default limits."""

    def test_few_eyes_raise_more_than_three(self, population: list[Found]) -> None:
        """More than three cautions: 4 in 100 eyes when this was written."""
        assert sum(len(found) > 3 for found in population) / EYES <= 0.06

    def test_nothing_but_real_findings(self, population: list[Found]) -> None:
        """Power ratio and axis rules stay silent for nearly every ordinary eye."""
        assert share(population, "D30.ratio") <= 0.01
        assert share(population, "D20.mirrored") + share(population, "D21.flipped") <= 0.05

    def test_uncertain_vault_from_white_to_white_alone(self, population: list[Found]) -> None:
        """Known to be too often: the default prior for white-to-white is that wide.

        It was 0.55 when this was written, each time for the chance of a vault below 100 um. The
        floor sees a limit that was let out: the population and the prior do not move by themselves.
        """
        assert 0.52 <= share(population, "D32.vault") <= 0.58
        texts = [one["text"] for found in population for one in found if one["code"] == "D32.vault"]
        assert all("would have a vault below 100 " in text for text in texts)


class TestWithAnOldPrescription:
    """The same eyes with paper from 20 months ago."""

    def test_stability_is_shown(self, population: list[Found], documented: list[Found]) -> None:
        """The caution that every eye without paper raises is gone."""
        assert share(population, "D02.no_earlier") == 1.0
        assert share(documented, "D02.no_earlier") == 0.0

    def test_scatter_of_measurement_raises_few(self, documented: list[Found]) -> None:
        """Test-retest alone moves some eyes past the limit; it may not be most of them."""
        assert share(documented, "D02.moved") <= 0.10
        assert share(documented, "D19.mixed") + share(documented, "D20.earlier") == 0.0

    def test_fewer_cautions_in_all(self, population: list[Found], documented: list[Found]) -> None:
        """An old prescription takes more cautions away than it brings."""
        assert sum(map(len, documented)) < 0.6 * sum(map(len, population))
        assert sum(len(found) > 3 for found in documented) / EYES <= 0.03
