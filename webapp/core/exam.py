"""One eye as the rules look at it: its readings, what a plan would use of them, and its person."""

from collections import namedtuple

from webapp.core.aims import PLAIN, Aims
from webapp.core.entry import Entry
from webapp.core.limits import in_force
from webapp.core.live import Standing, of_kind, standing
from webapp.core.measured import QUANTITIES
from webapp.core.reference import Reference
from webapp.core.used import cornea_used, latest_visit, length_used, refraction_used

# readings: kind -> live readings of the latest visit; earlier: live readings of older visits.
# depth: chamber depth as tagged; endothelial_depth_um: counted from the endothelium, or None.
# fellow: the other eye's Eye. person, answers and health: the single live record, or None.
Eye = namedtuple(
    "Eye",
    (
        "eye", "readings", "earlier", "refraction", "cornea", "depth", "thickness_um",
        "endothelial_depth_um", "white_to_white", "sulcus_to_sulcus", "lens_rise",
    ),
)  # fmt: skip
Exam = namedtuple(
    "Exam",
    (
        "this", "fellow", "person", "answers", "limits", "reference", "today", "standing", "health",
        "aims",
    ),
)  # fmt: skip
OTHER = {"R": "L", "L": "R"}


def examine(
    entries: list[Entry], reference: Reference, eye: str, today: str, aims: Aims = PLAIN
) -> Exam:
    """Return what the rules and the plan look at.

    Args:
        entries: every record of one person, each once.
        reference: the lens catalogue and limits in force.
        eye: "R" or "L".
        today: ``YYYY-MM-DD``.
        aims: what the surgeon aims at; plano unless another target was chosen.
    """
    limits = in_force(reference.limits)
    judged = standing(entries)
    return Exam(
        eye_of(judged, eye, limits["visit_days"]),
        eye_of(judged, OTHER[eye], limits["visit_days"]),
        only(of_kind(judged.live, "person.registered")),
        only(of_kind(judged.live, "history.answers")),
        limits,
        reference,
        today,
        judged,
        only(of_kind(judged.live, "history.health")),
        aims,
    )


def only(entries: list[Entry]) -> Entry | None:
    """Return the first record: more than one live head is a finding of its own."""
    return entries[0] if entries else None


def eye_of(judged: Standing, eye: str, visit_days: int) -> Eye:
    """Return one eye's readings and the values that a plan would use."""
    live = [entry for entry in judged.live if entry.eye == eye]
    readings, earlier = {}, []
    for quantity in QUANTITIES:
        of_quantity = of_kind(live, quantity.kind)
        readings[quantity.kind] = latest_visit(of_quantity, visit_days)
        earlier += [one for one in of_quantity if one not in readings[quantity.kind]]
    depth = length_used(readings["reading.chamber_depth"], "depth_um", "surface")
    thickness = length_used(readings["reading.corneal_thickness"], "thickness_um", None)
    thickness_um = thickness.value_um if thickness is not None else None
    return Eye(
        eye,
        readings,
        earlier,
        refraction_used(readings["reading.refraction"]),
        cornea_used(readings["reading.keratometry"]),
        depth,
        thickness_um,
        endothelial_depth(depth, thickness_um),
        length_used(readings["reading.white_to_white"], "diameter_um", None),
        length_used(readings["reading.sulcus_to_sulcus"], "diameter_um", None),
        length_used(readings["reading.lens_rise"], "rise_um", "reference"),
    )


def endothelial_depth(depth: object, thickness_um: int | None) -> int | None:
    """Return the depth from the endothelium [um]; None where surface or thickness is unknown."""
    surface = getattr(depth, "tag", None)
    depth_um: int = getattr(depth, "value_um", 0)
    if surface == "endothelium":
        return depth_um
    if surface == "epithelium" and thickness_um is not None:
        return depth_um - thickness_um
    return None
