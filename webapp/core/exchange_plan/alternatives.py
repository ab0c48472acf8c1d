"""What there is beside another length: watch, turn, turn back to the axis, the cornea, take it out.

Each with what speaks for and against it in this eye; the surgeon weighs them (E3, E4).
"""

from webapp.core.entry import Entry
from webapp.core.exchange_plan.lens_in import refraction_text
from webapp.core.exchange_plan.turning import (
    TO_AXIS,
    VERTICAL,
    Alternative,
    to_axis,
    to_vertical,
)
from webapp.core.exchange_plan.work import Work, is_high, is_low, refraction_before
from webapp.core.optics import astigmatism
from webapp.core.units import to_step
from webapp.core.wording import dioptres, micrometres

# Abstract read; the range outside 250 to 750 um that was watched.
WATCHED = "80 eyes of 160 to 249 or 760 to 1230 \u00b5m saw well after five years (abstract read)."
# Less than this is not corrected by an operation (common practice).
LITTLE_MEAN_cD, LITTLE_CYLINDER_cD = 50, 75


def alternatives(work: Work, decisions: list[Entry]) -> list[Alternative]:
    """Return the five alternatives to another length, always in the same order.

    Args:
        work: what the exchange is reckoned from.
        decisions: what was decided about this lens before, whether it still stands or not.
    """
    return [
        observe(work),
        to_vertical(work),
        to_axis(work, decisions),
        corneal(work),
        removal(work),
    ]


def without_reckoning(work: Work) -> list[Alternative]:
    """Return the five where nothing can be reckoned: a turn needs what an exchange needs."""
    turns = [
        Alternative(code, title, 0, "It is reckoned from what is missing here.", [], [], None)
        for code, title in (("turn", VERTICAL), ("rerotate", TO_AXIS))
    ]
    return [observe(work)] + turns + [corneal(work), removal(work)]


def observe(work: Work) -> Alternative:
    """Return what speaks for and against watching the lens."""
    limits, vault_um = work.natural.limits, work.found.vault_um
    text = "The lens stays as it lies."
    if vault_um is None:
        bad = ["How it lies is not settled: no vault in dim light."]
        return Alternative("observe", "Watch it", 1, text, [], bad, None)
    bad = []
    if vault_um > limits["vault_high_um"]:
        bad.append("Above " + micrometres(limits["vault_high_um"]) + " the angle may close: angle,"
                   " pressure and pupil are looked at now, and often.")  # fmt: skip
    elif is_high(work):
        bad.append("The angle narrows as the vault rises; it is looked at at each visit.")
    if vault_um < limits["vault_low_um"]:
        bad.append("The lens may touch the natural lens and cloud it.")
    elif is_low(work):
        bad.append("With an older design 8 of 26 such eyes got a cataract (abstract read).")
    good = ["A number alone is no reason to operate: " + WATCHED]
    return Alternative("observe", "Watch it", 1, text, good, bad, None)


def corneal(work: Work) -> Alternative:
    """Return what speaks for and against correcting the rest at the cornea."""
    title = "Correct the rest at the cornea"
    left = work.worn if work.worn is not None else work.found.corneal
    if left is None:
        text = "No refraction with this lens is known."
        return Alternative("corneal", title, 0, text, [], [], None)
    mean_cD = to_step(100.0 * left.mean_d, 1.0)
    cylinder_cD = to_step(200.0 * astigmatism(left), 1.0)
    where = "" if work.worn is not None else " at the cornea"
    text = "There is " + refraction_text(left) + where + " left to correct."
    if abs(mean_cD) < LITTLE_MEAN_cD and cylinder_cD < LITTLE_CYLINDER_cD:
        text += " That is too little for an operation."
    bad = ["The cornea has to bear it: thickness and shape are looked at first."]
    if is_high(work) or is_low(work):
        bad.append("The vault stays as it is.")
    return Alternative("corneal", title, 1, text, ["The lens stays."], bad, None)


def removal(work: Work) -> Alternative:
    """Return what speaks for and against taking the lens out."""
    good = ["Vault and angle are as before surgery."]
    naked = work.naked if work.naked is not None else refraction_before(work.natural)
    if naked is None:
        text = "What the eye reads without a lens is not known: no refraction from before surgery."
        bad = ["Another operation, and the refraction from before surgery comes back."]
        return Alternative("remove", "Take it out", 1, text, good, bad, None)
    back = dioptres(to_step(100.0 * naked.mean_d, 1.0))
    return Alternative(
        "remove", "Take it out", 1,
        "Without a lens the eye needs glasses of about " + refraction_text(naked) + " again.",
        good, ["Another operation, and " + back + " of mean refraction comes back."], None,
    )  # fmt: skip


def as_json(one: Alternative) -> dict[str, object]:
    """Return one alternative as it crosses the door."""
    return {
        "code": one.code, "title": one.title, "possible": one.possible, "text": one.text,
        "for": one.good, "against": one.bad, "turn": one.turn,
    }  # fmt: skip
