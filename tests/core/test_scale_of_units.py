"""The unit in which a value was read changes nothing but its own findings and ids."""

import json
import random
from typing import Any

import pytest

from tests.core import records
from tests.core_runtime import Core

SAME = ("lengths", "recommended", "best_by_loss_um", "moves", "measure_next", "model")


def result(core: Core, **instead: dict[str, object]) -> dict[str, Any]:
    """Return what a plan of an eye promises, without the readings as they were typed."""
    asked = records.plan_request(records.whole_eye(**instead))
    answer = json.loads(core("door", "call", json.dumps(asked))["value"])
    assert answer["possible"] == 1
    return {name: answer[name] for name in SAME}


@pytest.mark.parametrize("seed", range(6))
def test_cornea_in_millimetres_or_dioptres(core: Core, seed: int) -> None:
    """337.5 / r by hand, to the hundredth: the same plan."""
    rng = random.Random(seed)  # noqa: S311 - repeatable, no secret
    flat_um, steep_um = rng.randrange(7700, 8200, 10), rng.randrange(7200, 7700, 10)
    none = {"flat_cD": None, "steep_cD": None, "flat_radius_um": None, "steep_radius_um": None}
    in_mm = {**none, "unit": "mm", "flat_radius_um": flat_um, "steep_radius_um": steep_um}
    powers = {"flat_cD": round(33750000 / flat_um), "steep_cD": round(33750000 / steep_um)}
    in_dioptres = {**none, "unit": "D", **powers}
    assert result(core, keratometry=in_mm) == result(core, keratometry=in_dioptres)
    changed = {**in_dioptres, "steep_cD": powers["steep_cD"] + 200}
    assert result(core, keratometry=in_mm) != result(core, keratometry=changed)


@pytest.mark.parametrize("seed", range(6))
def test_depth_from_either_surface(core: Core, seed: int) -> None:
    """From the epithelium it is more by the corneal thickness: the same plan."""
    rng = random.Random(seed)  # noqa: S311 - repeatable, no secret
    depth_um, thickness_um = rng.randrange(3000, 3600, 10), rng.randrange(500, 580, 10)
    cornea: dict[str, object] = {"thickness_um": thickness_um}
    inner: dict[str, object] = {"depth_um": depth_um, "surface": "endothelium"}
    outer: dict[str, object] = {"depth_um": depth_um + thickness_um, "surface": "epithelium"}
    one, other = (
        result(core, chamber_depth=depth, corneal_thickness=cornea) for depth in (inner, outer)
    )
    assert one == other
    assert one != result(
        core, chamber_depth={**outer, "depth_um": depth_um}, corneal_thickness=cornea
    )
