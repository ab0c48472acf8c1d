"""What the first eye taught: its outcome beside its own prediction, before the second eye's plan.

The two eyes of a person miss in the same direction, so what the first one missed by moves the
second one's prediction. A miss that is too large for that is shown and moves nothing: first the
measurement is looked at again (rule D31).
"""

from collections import namedtuple

from webapp.core.aims import PLAIN
from webapp.core.case.implants import (
    Implant,
    before,
    beside_another,
    days_after,
    implants,
    in_eye,
    newest_day,
)
from webapp.core.entry import Entry
from webapp.core.errors import BadInput
from webapp.core.exam import OTHER, Exam, eye_of
from webapp.core.lens_words import lens_of
from webapp.core.live import Standing, of_kind
from webapp.core.optics import at_cornea
from webapp.core.plan.lenses import eye_at, left_by, model_named
from webapp.core.plan.vault import adopted_for, count, diameter, lens_rise_um, row_for
from webapp.core.units import to_step
from webapp.core.used import (
    corneal_vector_of,
    device_of,
    devices_of,
    is_placed,
    mean_of,
    mean_vector,
)
from webapp.core.vault import Model, Shift, is_surprising, predicted
from webapp.core.vault_priors import default_model

# Bright light narrows the gap, by 100 to 170 um (from memory): only dim light is compared.
LIGHT = "mesopic"

# predicted: a vault.Prediction of the first eye; days: from its surgery to the reading; why: in
# words why this eye's prediction is not moved, empty where it is; records: ids of what was found.
VaultOutcome = namedtuple("VaultOutcome", ("found_um", "predicted", "days", "why", "records"))
# found_cD, predicted_cD: mean refraction at the cornea.
PowerOutcome = namedtuple("PowerOutcome", ("found_cD", "predicted_cD", "days", "records"))
# implant: of the first eye; exam: that eye before its surgery; vault, power: an outcome or None.
Outcome = namedtuple("Outcome", ("implant", "exam", "vault", "power"))

# What the first eye's own prediction is made from.
MADE_FROM = (
    "reading.refraction", "reading.keratometry", "reading.chamber_depth",
    "reading.corneal_thickness", "reading.white_to_white", "reading.sulcus_to_sulcus",
    "reading.lens_rise",
)  # fmt: skip


def outcome(exam: Exam) -> Outcome | None:
    """Return the first eye's outcome; None before its surgery, or once this eye has a lens.

    Args:
        exam: the second eye, the one that is planned.
    """
    lenses = implants(exam.standing, OTHER[exam.this.eye])
    if not is_told(lenses) or in_eye(exam.standing, exam.this.eye):
        return None
    found = [outcome_of(exam, one) for one in lenses]
    # The newest lens that was seen late enough speaks. One chosen after a miss shows what of that
    # miss is the eye's own; until it was seen, the miss itself is what is known.
    seen = [one for one in found if one.vault is not None]
    return (seen or found)[-1]


def is_told(lenses: list[Implant]) -> bool:
    """Return whether an eye was operated on, and its surgeries do not contradict each other."""
    return bool(lenses) and not beside_another(lenses)


def outcome_of(exam: Exam, implant: Implant) -> Outcome:
    """Return the outcome of one lens of the first eye, which may have been taken out since."""
    first = before_surgery(exam, implant)
    model = model_of(exam, first)
    return Outcome(
        implant,
        first,
        vault_outcome(exam, first, implant, model),
        power_outcome(first, implant, model),
    )


def before_surgery(exam: Exam, implant: Implant) -> Exam:
    """Return the first eye as it was before its surgery: nothing read later counts here."""
    eye = OTHER[exam.this.eye]
    standing = Standing(before(exam.standing, eye, implant.entry), [], [])
    this = eye_of(standing, eye, exam.limits["visit_days"])
    return Exam(
        this, exam.this, exam.person, exam.answers, exam.limits, exam.reference, exam.today,
        standing, exam.health, PLAIN,
    )  # fmt: skip


def unlike(exam: Exam, first: Exam) -> str:
    """Return why the two eyes' predictions need not miss alike; an empty text where they do."""
    here, there = diameter(exam.this), diameter(first.this)
    if here is None or there is None:
        return "the diameter of one eye is not settled"
    if here[0] != there[0] or device_name(exam, here[0]) != device_name(first, there[0]):
        return "the diameters of the two eyes were measured in different ways"
    if (lens_rise_um(exam.this) is None) != (lens_rise_um(first.this) is None):
        return "the lens rise of one eye is not known"
    return ""


def device_name(exam: Exam, kind: str) -> str:
    """Return the device of the diameter in use, written one way."""
    return str(device_of(exam.this.readings["reading." + kind][0]))


def model_of(exam: Exam, first: Exam) -> Model | None:
    """Return the model for the first eye: this eye's own where both were measured alike.

    Otherwise the default prior of what was measured there. None without a settled diameter.
    """
    adopted, there = adopted_for(exam), diameter(first.this)
    if there is None:
        return None
    if adopted is not None and not unlike(exam, first):
        model: Model = adopted.model
        return model
    kind = there[0]
    return default_model(kind, lens_rise_um(first.this) is not None, count(first.this, kind))


def usable(exam: Exam, implant: Implant, found: list[Entry]) -> list[Entry]:
    """Return the newest day's readings among those taken late enough to count as an outcome."""
    first_day = exam.limits["outcome_days"]
    late = [one for one in found if days_after(implant.entry, one) >= first_day]
    return newest_day(implant, late)


def vault_outcome(
    exam: Exam, first: Exam, implant: Implant, model: Model | None
) -> VaultOutcome | None:
    """Return the vault found and predicted; None where there is none to compare."""
    vaults = of_kind(implant.followups, "followup.vault")
    seen = usable(exam, implant, [one for one in vaults if one.body["light"] == LIGHT])
    if model is None or len(devices_of(seen)) != 1:
        return None
    found_um = mean_of([one.body["vault_um"] for one in seen])
    length_um = implant.entry.body["lens"]["length_um"]
    prediction = predicted(model, row_for(first, model, length_um))
    why = unlike(exam, first)
    most_scales = exam.limits["outcome_scales_e1"] / 10.0
    if is_surprising(found_um - prediction.mean_um, prediction.scale_um, most_scales):
        why = "a miss so large is looked into before it is used"
    return VaultOutcome(
        found_um, prediction, days_after(implant.entry, seen[0]), why, [one.id for one in seen]
    )


def power_outcome(first: Exam, implant: Implant, model: Model | None) -> PowerOutcome | None:
    """Return the mean refraction found and predicted, both at the cornea; None without both."""
    seen = usable(first, implant, of_kind(implant.followups, "followup.refraction"))
    lens = lens_of(implant.entry.body["lens"])
    made = model_named(first, lens.model)
    this = first.this
    if model is None or made is None or not seen or not all([is_placed(one) for one in seen]):
        return None
    if None in (this.refraction, this.cornea, this.depth, this.thickness_um):
        return None
    vault = predicted(model, row_for(first, model, lens.length_um))
    try:
        eye = eye_at(first, vault.mean_um, made.offset_um)
        expected = at_cornea(left_by(eye, lens), eye.vertex_mm, "lens")
    except BadInput:
        return None  # Readings that fit no eye have findings of their own.
    found = mean_vector([corneal_vector_of(one) for one in seen])
    return PowerOutcome(
        to_step(found.mean_d * 100.0, 1.0),
        to_step(expected.mean_d * 100.0, 1.0),
        days_after(implant.entry, seen[0]),
        [one.id for one in seen],
    )


def residual_um(found: VaultOutcome) -> float:
    """Return by how much the first eye's vault missed its prediction [um]."""
    return float(found.found_um - found.predicted.mean_um)


def correlation(exam: Exam) -> float:
    """Return the correlation of the two eyes' misses, from 0 to below 1."""
    return float(exam.limits["fellow_correlation_e2"] / 100.0)


def shift_of(exam: Exam, found: Outcome | None) -> Shift | None:
    """Return what the first eye's outcome does to this eye's predictions, None for nothing."""
    if found is None or found.vault is None or found.vault.why:
        return None
    return Shift(residual_um(found.vault), correlation(exam))


def records(found: Outcome | None) -> list[str]:
    """Return the sorted ids of every record of the first eye that the plan rests on."""
    if found is None or (found.vault is None and found.power is None):
        return []
    ids = list(found.implant.names)
    for part in (found.vault, found.power):
        ids += part.records if part is not None else []
    for kind in MADE_FROM:
        ids += [one.id for one in found.exam.this.readings[kind]]
    return sorted(ids)
