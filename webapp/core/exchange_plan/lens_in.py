"""The lens in the eye and what was found with it: where its axis lies, vault, refraction."""

from collections import namedtuple

from webapp.core.case.implants import Implant, days_after, newest_day, newest_visit
from webapp.core.entry import Entry
from webapp.core.lens_words import lens_of
from webapp.core.live import of_kind
from webapp.core.optics import PowerVector, Refraction, power_vector
from webapp.core.used import (
    corneal_vector_of,
    devices_of,
    is_placed,
    mean_of,
    mean_vector,
    recorded_refraction,
)
from webapp.core.wording import refraction

# Bright light narrows the gap, by 100 to 170 um (from memory): only dim light is compared.
LIGHT = "mesopic"

# vault_um: the newest day's mean in dim light, None where it is not settled; vaults: its readings;
# corneal: the newest refraction with the lens in, at the cornea [D], or None; refractions: its
# readings; days: from the surgery to the vault.
Observed = namedtuple("Observed", ("vault_um", "vaults", "corneal", "refractions", "days"))


def observed(lens: Implant) -> Observed:
    """Return what was found with a lens in the eye, on the newest day of each quantity."""
    vaults = of_kind(lens.followups, "followup.vault")
    vaults = newest_day(lens, [one for one in vaults if one.body["light"] == LIGHT])
    settled = len(devices_of(vaults)) == 1
    vault_um = mean_of([one.body["vault_um"] for one in vaults]) if settled else None
    days = days_after(lens.entry, vaults[0]) if vaults else None
    seen = newest_visit(lens, "followup.refraction")
    if not seen or not all([is_placed(one) for one in seen]):
        return Observed(vault_um, vaults, None, [], days)
    corneal = mean_vector([corneal_vector_of(one) for one in seen])
    return Observed(vault_um, vaults, corneal, seen, days)


def axis_readings(lens: Implant) -> list[Entry]:
    """Return every axis that was seen of a lens, oldest first."""
    found: list[Entry] = of_kind(lens.followups, "followup.axis_seen")
    return found


def lies_at(lens: Implant) -> tuple[int | None, str | None]:
    """Return where the axis of a toric lens lies [deg] and who says so; None of a spherical one.

    The newest seen goes before the one at the end of surgery, that before the one on the label.
    """
    body, seen = lens.entry.body, axis_readings(lens)
    if body["lens"]["cylinder_cD"] == 0:
        return None, None
    if seen:
        return seen[-1].body["seen_axis_deg"], "seen"
    if body["final_axis_deg"] is not None:
        return body["final_axis_deg"], "surgery"
    return body["lens"]["axis_deg"], "label"


def power_as_it_lies(lens: Implant) -> PowerVector:
    """Return the power [D] of a lens with its axis where it lies now."""
    made = lens_of(lens.entry.body["lens"])
    axis_deg = lies_at(lens)[0]
    return power_vector(
        Refraction(made.sphere_cD / 100.0, made.cylinder_cD / 100.0, float(axis_deg or 180))
    )


def apart_deg(one_deg: int, other_deg: int) -> int:
    """Return the angle between two axes [deg], from 0 to 90."""
    apart: int = abs(one_deg - other_deg) % 180
    return min(apart, 180 - apart)


def refraction_text(vector: PowerVector) -> str:
    """Return a refraction in words."""
    sphere_cD, cylinder_cD, axis_deg = recorded_refraction(vector)
    return refraction(sphere_cD, cylinder_cD, axis_deg)
