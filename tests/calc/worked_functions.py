"""What works out a value that has no calculation by name: the function or the oracle that does."""

from collections.abc import Callable
from typing import Any

from tests.oracles import arch, ray_matrix, schematic_eyes
from webapp.audit import acuity, cusum
from webapp.calc.command import answered
from webapp.calc.label import CALCULATION as LABEL
from webapp.core import astigmatism, comparators, lens_power, optics, units, vault
from webapp.core.errors import BadInput
from webapp.core.optics import PowerVector, Refraction

Written = list[float]


def vector(written: Written) -> PowerVector:
    """Return sphere, cylinder and axis as a power vector [D]."""
    return optics.power_vector(Refraction(*written))


def in_contact(one: Written, other: Written) -> dict[str, Written]:
    """Return the sum of two lenses in both cylinder forms."""
    minus = optics.refraction_of(optics.added(vector(one), vector(other)))
    return {"minus": list(minus), "plus": list(optics.transposed(minus))}


def front_surface(radius_mm: float, index: float) -> float:
    """Return how much stronger a front surface is than its keratometry reading."""
    surface = ray_matrix.spherical_surface(radius_mm, 1.0, index)
    return float(-surface[2, 0]) / units.power_of_radius(radius_mm)


def cornea(radii_mm: Written, indices: Written, thickness_mm: float) -> dict[str, float]:
    """Return the powers [D] of a cornea's two surfaces and of the whole."""
    front = ray_matrix.spherical_surface(radii_mm[0], 1.0, indices[0])
    back = ray_matrix.spherical_surface(radii_mm[1], *indices)
    whole = ray_matrix.layered(radii_mm, indices, [thickness_mm])
    return {
        name: float(-matrix[2, 0])
        for name, matrix in (("front", front), ("back", back), ("total", whole))
    }


def left_by_a_turn(lens: Written, turn_deg: float) -> float:
    """Return the cylinder at the lens that a turn leaves, over the lens's own."""
    aligned = vector(lens)
    left = optics.subtracted(optics.turned(aligned, turn_deg), aligned)
    return optics.astigmatism(left) / optics.astigmatism(aligned)


def published(name: str, inputs: dict[str, float]) -> float:
    """Return what a published equation gives."""
    equation = next(one for one in comparators.COMPARATORS if one.name == name)
    return comparators.value(equation, inputs)


def second_eye_scale(scale_um: float, correlation: float) -> float:
    """Return the scale [um] of a second eye's vault, once the first one's is known."""
    told = vault.with_first_eye(vault.Prediction(0.0, scale_um, 20.0), 0.0, correlation)
    return float(told.scale_um)


def index_of_success(before: Written, after: Written, vertex_mm: float) -> float:
    """Return what is left of the intended change of astigmatism."""
    found = astigmatism.change(vector(before), vector(after), optics.PLANO, vertex_mm)
    return float(found.difference_d / found.target_d)


def outcomes(**given: Any) -> Written:  # noqa: ANN401 - JSON
    """Return the path of a cumulative sum of outcomes."""
    return cusum.outcomes(**given).path


def check_digits(digits: str) -> list[int]:
    """Return which of the ten digits the label's calculation takes after an article number."""
    return [last for last in range(10) if is_answered(f'{{"data": "01{digits}{last}"}}')]


def is_answered(typed: str) -> bool:
    """Return whether the label's calculation answers."""
    try:
        answered(LABEL, typed.encode())
    except BadInput:
        return False
    return True


FUNCTIONS: dict[str, Callable[..., Any]] = {
    "sum in contact": in_contact,
    "keratometry": units.power_of_radius,
    "front surface over keratometry": front_surface,
    "cornea": cornea,
    "schematic eye": schematic_eyes.cardinal_points,
    "gradient eye": schematic_eyes.gradient_eye,
    "corneal change": lambda **given: list(lens_power.corneal_change(**given)),
    "cylinder left by a turn": left_by_a_turn,
    "arch": arch.sagitta_mm,
    "published equation": published,
    "second eye's scale": second_eye_scale,
    "index of success": index_of_success,
    "logMAR": acuity.logmar,
    "efficacy index": acuity.efficacy_index,
    "safety index": acuity.safety_index,
    "outcomes": outcomes,
    "check digits accepted": check_digits,
}
