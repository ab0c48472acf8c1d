"""What the surgeon aims at: the refraction to leave, and a change of the cornea by the incision."""

from collections import namedtuple

from webapp.core.errors import BadInput
from webapp.core.lens_power import corneal_change
from webapp.core.limits import is_whole
from webapp.core.optics import PLANO, PowerVector, Refraction, power_vector
from webapp.core.wording import refraction, size_in_dioptres

# sphere, cylinder [cD] and axis [deg] in the plane of the refraction; flattening [cD] along a
# meridian [deg]. Each is None unless the surgeon chose it.
Target = namedtuple("Target", ("sphere_cD", "cylinder_cD", "axis_deg"))
Change = namedtuple("Change", ("flattening_cD", "meridian_deg"))
Aims = namedtuple("Aims", ("target", "change"))
PLAIN = Aims(None, None)

# A centre that has operated on fewer eyes does not know what its own incision does: the mean of
# 121 eyes was 0.23 D with an SD of 0.52 D (temporal 3.0 mm, Kamiya 2021, abstract read).
OWN_EYES_NEEDED = 30


def aims_of(target: object, change: object) -> Aims:
    """Return the aims of a request; None where nothing was chosen.

    A target of plano is no target: both must give the same plan to sign.

    Raises:
        BadInput: a part is missing, no whole number, or outside what can be meant.
    """
    return Aims(target_of(target), change_of(change))


def target_of(value: object) -> Target | None:
    """Return the target refraction of a request. Raises: BadInput."""
    if value is None:
        return None
    sphere_cD = part(value, "target", "sphere_cD", -600, 300)
    cylinder_cD = part(value, "target", "cylinder_cD", -300, 300)
    axis_deg = value.get("axis_deg") if isinstance(value, dict) else None
    if (axis_deg is None) != (cylinder_cD == 0):
        raise BadInput("target.axis_deg", "a target has an axis exactly when it has a cylinder")
    if axis_deg is not None:
        axis_deg = part(value, "target", "axis_deg", 1, 180)
    if sphere_cD == 0 and cylinder_cD == 0:
        return None
    return Target(sphere_cD, cylinder_cD, axis_deg)


def change_of(value: object) -> Change | None:
    """Return the planned change of the cornea of a request. Raises: BadInput."""
    if value is None:
        return None
    return Change(
        part(value, "surgical_change", "flattening_cD", 1, 200),
        part(value, "surgical_change", "meridian_deg", 1, 180),
    )


def part(value: object, whole: str, name: str, low: int, high: int) -> int:
    """Return one whole number of a group within its range. Raises: BadInput."""
    found = value.get(name) if isinstance(value, dict) else None
    if isinstance(found, int) and is_whole(found) and low <= found <= high:
        return found
    field = whole + "." + name
    raise BadInput(
        field, field + " must be a whole number from " + str(low) + " to " + str(high)
    )  # fmt: skip


def target_vector(aims: Aims) -> PowerVector:
    """Return the refraction aimed at [D], in the plane of the measured refraction."""
    if aims.target is None:
        return PLANO
    sphere_cD, cylinder_cD, axis_deg = aims.target
    return power_vector(Refraction(sphere_cD / 100.0, cylinder_cD / 100.0, float(axis_deg or 180)))


def change_vector(aims: Aims) -> PowerVector:
    """Return the planned change of the corneal power [D]."""
    if aims.change is None:
        return PLANO
    return corneal_change(aims.change.flattening_cD / 100.0, float(aims.change.meridian_deg))


def target_json(aims: Aims) -> dict[str, object] | None:
    """Return the target as it crosses the door and is signed."""
    if aims.target is None:
        return None
    sphere_cD, cylinder_cD, axis_deg = aims.target
    return {"sphere_cD": sphere_cD, "cylinder_cD": cylinder_cD, "axis_deg": axis_deg}


def change_json(aims: Aims) -> dict[str, object] | None:
    """Return the planned change as it crosses the door and is signed."""
    if aims.change is None:
        return None
    flattening_cD, meridian_deg = aims.change
    return {"flattening_cD": flattening_cD, "meridian_deg": meridian_deg}


def words(aims: Aims) -> list[str]:
    """Return what is aimed at, and what is taken for granted, one sentence each."""
    target = "Aim: plano."
    if aims.target is not None:
        target = "Aim: " + refraction(*aims.target) + "."
    if aims.change is None:
        return [target, "No change of the cornea is planned for: that needs "
                + str(OWN_EYES_NEEDED) + " own eyes."]  # fmt: skip
    flattening = size_in_dioptres(aims.change.flattening_cD)
    meridian = str(aims.change.meridian_deg)
    return [target, "Planned for: flattening of " + flattening + " at " + meridian + "."]
