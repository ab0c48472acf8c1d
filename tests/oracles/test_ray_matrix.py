"""The oracle itself, against the published cardinal points of schematic eyes.

Published values are from memory of Bennett & Rabbetts, Clinical Visual Optics, and Atchison &
Smith, Optics of the Human Eye; Liou & Brennan 1997, J Opt Soc Am A 14:1684.
"""

import numpy as np
import pytest

from tests.oracles import ray_matrix, schematic_eyes

# name: published values [D, mm].
PUBLISHED = {
    "Gullstrand-Emsley": {
        "power": 60.49, "P": 1.55, "P'": 1.85, "F": -14.98, "F'": 23.89, "N": 7.06, "N'": 7.36,
    },
    "Le Grand full": {
        "power": 59.94, "P": 1.595, "P'": 1.908, "F": -15.089, "F'": 24.197, "N": 7.200,
        "N'": 7.513,
    },
    "Gullstrand no. 1": {
        "power": 58.64, "P": 1.348, "P'": 1.602, "F": -15.707, "F'": 24.387,
    },
}  # fmt: skip


@pytest.mark.parametrize("name", PUBLISHED)
def test_schematic_eye(name: str) -> None:
    """Power to 0.02 D and cardinal points to 0.01 mm of the published ones."""
    found = schematic_eyes.cardinal_points(name)
    for point, value in PUBLISHED[name].items():
        assert found[point] == pytest.approx(value, abs=0.02 if point == "power" else 0.01), point


def test_gullstrand_eye_is_one_dioptre_long_sighted() -> None:
    """The exact eye with its retina at 24.0 mm reads +1.0 D at the cornea (published)."""
    gaps_mm = schematic_eyes.ROUND_EYES["Gullstrand no. 1"].gaps_mm
    to_the_retina = ray_matrix.gap(24.0 - sum(gaps_mm), 1.336)
    whole = ray_matrix.chain(schematic_eyes.system("Gullstrand no. 1"), to_the_retina)
    assert ray_matrix.refraction(whole)[0, 0] == pytest.approx(1.0, abs=0.02)


def test_gullstrand_cornea() -> None:
    """The exact cornea is 48.83 - 5.88 D thick, 43.05 D in all (published)."""
    system = ray_matrix.layered([7.7, 6.8], [1.376, 1.336], [0.5])
    assert -system[2, 0] == pytest.approx(43.05, abs=0.01)


def test_liou_brennan_eye() -> None:
    """The gradient-index eye has 60.35 D and its back focus at 23.95 mm (published)."""
    found = schematic_eyes.gradient_eye()
    assert found["power"] == pytest.approx(60.35, abs=0.02)
    assert found["F'"] == pytest.approx(23.95, abs=0.01)


def test_crossed_cylinders_make_a_sphere() -> None:
    """Equal cylinders at right angles are a sphere: the toric part is put together rightly."""
    both = ray_matrix.power(0.0, -2.0, 30.0) + ray_matrix.power(0.0, -2.0, 120.0)
    assert np.allclose(both, -2.0 * np.eye(2), atol=1e-12)
