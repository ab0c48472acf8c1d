"""Published schematic eyes, as surfaces and gaps for the ray matrices.

Construction data are from memory of Bennett & Rabbetts, Clinical Visual Optics, and Atchison &
Smith, Optics of the Human Eye; Liou & Brennan 1997, J Opt Soc Am A 14:1684.
"""

from typing import NamedTuple

from tests.oracles import ray_matrix
from tests.oracles.ray_matrix import Matrix


class RoundEye(NamedTuple):
    """Radii [mm], the index after each surface, and the gaps between the surfaces [mm]."""

    radii_mm: list[float]
    indices: list[float]
    gaps_mm: list[float]


ROUND_EYES = {
    "Gullstrand-Emsley": RoundEye([7.8, 10.0, -6.0], [4 / 3, 1.416, 4 / 3], [3.6, 3.6]),
    "Le Grand full": RoundEye(
        [7.8, 6.5, 10.2, -6.0], [1.3771, 1.3374, 1.42, 1.336], [0.55, 3.05, 4.00]
    ),
    "Gullstrand no. 1": RoundEye(
        [7.7, 6.8, 10.0, 7.911, -5.76, -6.0],
        [1.376, 1.336, 1.386, 1.406, 1.386, 1.336],
        [0.5, 3.1, 0.546, 2.419, 0.635],
    ),
}


def system(name: str) -> Matrix:
    """Return the matrix of a round eye, from the cornea to the back of the lens."""
    eye = ROUND_EYES[name]
    return ray_matrix.layered(eye.radii_mm, eye.indices, eye.gaps_mm)


def cardinal_points(name: str) -> dict[str, float]:
    """Return power [D] and cardinal points [mm] of a round eye."""
    eye = ROUND_EYES[name]
    return ray_matrix.cardinal_points(system(name), sum(eye.gaps_mm), eye.indices[-1])


def gradient_eye() -> dict[str, float]:
    """Return power [D] and cardinal points [mm] of the gradient-index eye of Liou & Brennan."""
    whole = ray_matrix.chain(
        ray_matrix.layered([7.77, 6.40], [1.376, 1.336], [0.50, 3.16]),
        ray_matrix.spherical_surface(12.40, 1.336, 1.368),
        ray_matrix.gradient((1.368, 0.049057, -0.015427), -0.001978, 1.59),
        ray_matrix.gradient((1.407, 0.0, -0.006605), -0.001978, 2.43),
        ray_matrix.spherical_surface(-8.10, 1.368, 1.336),
    )
    return ray_matrix.cardinal_points(whole, 0.50 + 3.16 + 1.59 + 2.43, 1.336)
