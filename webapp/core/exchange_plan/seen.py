"""The lens in the eye and what was found with it, as they cross the door."""

from webapp.core.case.implants import Implant
from webapp.core.describe_values import value_text
from webapp.core.exchange_plan.lens_in import lies_at
from webapp.core.exchange_plan.powers import observed_refraction
from webapp.core.exchange_plan.work import Work
from webapp.core.lens_words import lens_of, lens_text


def implant_json(lens: Implant) -> dict[str, object]:
    """Return the lens in the eye, and where its axis lies."""
    body = lens.entry.body
    lies_deg, source = lies_at(lens)
    return {
        "id": lens.entry.id, "operated": body["operated"], "lens": body["lens"],
        "text": lens_text(lens_of(body["lens"])), "serial": body["serial"],
        "lies_at_deg": lies_deg, "lies_from": source,
    }  # fmt: skip


def observed_json(work: Work) -> dict[str, object]:
    """Return what was found with the lens in the eye."""
    found = work.found
    worn = observed_refraction(work)
    return {
        "vault_um": found.vault_um,
        "vault_text": ", ".join([value_text(one) for one in found.vaults]),
        "days": None if found.days is None else max(found.days, 0),
        "refraction": worn,
        "refraction_text": None
        if worn is None
        else ", ".join([value_text(one) for one in found.refractions]),
        "records": sorted([one.id for one in found.vaults + found.refractions]),
    }
