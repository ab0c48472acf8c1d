"""What there is beside another length: watch, turn, turn back to the axis, the cornea, take it out.

Each with what speaks for and against it in this eye; the surgeon weighs them (E3, E4).
"""

from webapp.core.entry import Entry
from webapp.core.exchange_plan.lens_in import refraction_text
from webapp.core.exchange_plan.turning import Alternative, to_axis, to_vertical
from webapp.core.exchange_plan.work import Work, before_vector, is_high, is_low
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


def observe(work: Work) -> Alternative:
    """Return what speaks for and against watching the lens."""
    limits, vault_um = work.natural.limits, work.found.vault_um
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
    return Alternative("observe", "Watch it", 1, "The lens stays as it lies.", good, bad, None)


def corneal(work: Work) -> Alternative:
    """Return what speaks for and against correcting the rest at the cornea."""
    title = "Correct the rest at the cornea"
    if work.worn is None:
        text = "No refraction with this lens is known."
        return Alternative("corneal", title, 0, text, [], [], None)
    mean_cD = to_step(100.0 * work.worn.mean_d, 1.0)
    cylinder_cD = to_step(200.0 * astigmatism(work.worn), 1.0)
    text = "There is " + refraction_text(work.worn) + " left to correct."
    if abs(mean_cD) < LITTLE_MEAN_cD and cylinder_cD < LITTLE_CYLINDER_cD:
        text += " That is too little for an operation."
    bad = ["The cornea has to bear it: thickness and shape are looked at first."]
    if is_high(work) or is_low(work):
        bad.append("The vault stays as it is.")
    return Alternative("corneal", title, 1, text, ["The lens stays."], bad, None)


def removal(work: Work) -> Alternative:
    """Return what speaks for and against taking the lens out."""
    naked = work.naked if work.naked is not None else before_vector(work)
    back = dioptres(to_step(100.0 * naked.mean_d, 1.0))
    return Alternative(
        "remove", "Take it out", 1,
        "Without a lens the eye needs glasses of about " + refraction_text(naked) + " again.",
        ["Vault and angle are as before surgery."],
        ["Another operation, and " + back + " of mean refraction comes back."], None,
    )  # fmt: skip


def as_json(one: Alternative) -> dict[str, object]:
    """Return one alternative as it crosses the door."""
    return {
        "code": one.code, "title": one.title, "possible": one.possible, "text": one.text,
        "for": one.good, "against": one.bad, "turn": one.turn,
    }  # fmt: skip
