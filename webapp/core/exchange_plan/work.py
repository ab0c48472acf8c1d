"""What an exchange is reckoned from: the natural eye, what was believed of its lens, what came.

The eye's own readings are those from before surgery; what it would read without its lens is
calculated back from the refraction found, and both together say what the new lens has to correct.
"""

import math
from collections import namedtuple

from webapp.core.case.implants import Implant, before
from webapp.core.errors import BadInput
from webapp.core.exam import Exam, eye_of
from webapp.core.exchange import Belief
from webapp.core.exchange_plan.lens_in import Observed, observed, power_as_it_lies
from webapp.core.lens_power import Eye
from webapp.core.live import Standing
from webapp.core.measured import word_of
from webapp.core.optics import (
    PLANO,
    PowerVector,
    Refraction,
    at_spectacles,
    blur,
    power_vector,
    subtracted,
)
from webapp.core.plan.lenses import eye_at, model_named
from webapp.core.plan.refraction_doubt import vault_sd
from webapp.core.plan.vault import diameter, model_for, row_for
from webapp.core.rotation import naked_refraction
from webapp.core.units import to_step
from webapp.core.used import mean_vector
from webapp.core.vault import Model, predicted
from webapp.core.wording import capital

# Where nothing can be reckoned (``seen_of``) everything from ``belief`` on is None.
# lens: the Implant; natural: the Exam of the eye before its first surgery; found: Observed;
# belief: exchange.Belief of the lens in the eye; old: the eye with that lens where it lies; worn:
# the refraction found, in the plane of the one before surgery [D]; naked: the eye without its lens,
# in that plane [D]; apart_cD: blur strength between naked and before; corrects: what the new lens
# has to correct [D]; basis: "mean" or "before".
Work = namedtuple(
    "Work",
    ("lens", "natural", "found", "belief", "old", "worn", "naked", "apart_cD", "corrects", "basis"),
)
NEEDED = ("reading.refraction", "reading.keratometry", "reading.chamber_depth",
          "reading.corneal_thickness")  # fmt: skip


def natural_exam(exam: Exam, lens: Implant) -> Exam:
    """Return the eye as it was measured without any lens in it, before this one was implanted."""
    clean = Standing(before(exam.standing, exam.this.eye, lens.entry), [], [])
    this = eye_of(clean, exam.this.eye, exam.limits["visit_days"])
    return Exam(
        this, exam.fellow, exam.person, exam.answers, exam.limits, exam.reference, exam.today,
        exam.standing, exam.health, exam.aims,
    )  # fmt: skip


def lacking(natural: Exam, lens: Implant) -> list[dict[str, str]]:
    """Return what must be recorded or settled before anything can be reckoned, in words."""
    this, found = natural.this, []
    for kind, value in (
        (NEEDED[0], this.refraction), (NEEDED[1], this.cornea), (NEEDED[2], this.depth),
        (NEEDED[3], this.thickness_um), ("reading.white_to_white", diameter(this)),
    ):  # fmt: skip
        if value is None:
            found.append({"kind": kind, "text": capital(word_of(kind)) + " from before surgery"})
    seen = observed(lens)
    if seen.vault_um is None:
        why = ": two devices on one day" if seen.vaults else ""
        found.append({"kind": "followup.vault", "text": "Vault in dim light" + why})
    if natural.person is None:
        found.append({"kind": "person.registered", "text": "Registration"})
    if not natural.reference.models:
        found.append({"kind": "catalogue.adopted", "text": "Lens catalogue"})
    if not found and not 2.0 * model_of(natural).a > 2.0:
        found.append({"kind": "vault_model.adopted", "text": "A vault model on more eyes"})
    return found


def lacking_to_decide(natural: Exam, lens: Implant) -> list[dict[str, str]]:
    """Return what must be there before anything at all is decided about a lens, in words.

    An eye whose lens touches, or whose angle closes, may be too ill for every scan: it is watched,
    or its lens taken out, on what was found.
    """
    found = []
    if natural.person is None:
        found.append({"kind": "person.registered", "text": "Registration"})
    if not natural.reference.models:
        found.append({"kind": "catalogue.adopted", "text": "Lens catalogue"})
    if not lens.followups:
        text = "Any reading with this lens in the eye: what was seen that speaks for it"
        found.append({"kind": "followup.vault", "text": text})
    return found


def seen_of(natural: Exam, lens: Implant) -> Work:
    """Return what was found of a lens where nothing can be reckoned from it."""
    return Work(lens, natural, observed(lens), None, None, None, None, None, None, None)


def model_of(natural: Exam) -> Model:
    """Return the vault model of an eye whose diameter is settled."""
    model = model_for(natural)
    if model is None:
        raise BadInput("entries", "the diameter of this eye is not settled")
    return model


def belief_of(natural: Exam, length_um: int) -> Belief:
    """Return what its readings before surgery say of the vault with a length, made anew."""
    model = model_of(natural)
    prediction = predicted(model, row_for(natural, model, length_um))
    index = model.features.index("excess_mm")
    slope_sd = math.sqrt(model.b / (model.a - 1.0) * model.V[index][index])
    return Belief(
        prediction.mean_um, vault_sd(prediction), natural.limits["exchange_same_eye_e2"] / 100.0,
        model.mean[index], slope_sd,
    )  # fmt: skip


def work_of(natural: Exam, lens: Implant) -> Work:
    """Return what an exchange is reckoned from; ``lacking`` has found nothing.

    Raises:
        BadInput: the readings fit no eye.
    """
    found = observed(lens)
    measured = needed_before(natural)
    belief = belief_of(natural, lens.entry.body["lens"]["length_um"])
    old = old_eye(natural, lens, found)
    if old is None or found.corneal is None:
        return Work(lens, natural, found, belief, None, None, None, None, measured, "before")
    worn = at_spectacles(found.corneal, old.vertex_mm)
    naked = naked_refraction(old, worn, power_as_it_lies(lens))
    apart_cD = to_step(blur(subtracted(naked, measured)) * 100.0, 1.0)
    # Label, axis and refraction found each spoil the naked one; only itself spoils the earlier one.
    agrees = apart_cD <= natural.limits["exchange_apart_cD"]
    corrects = mean_vector([naked, measured]) if agrees else measured
    return Work(
        lens, natural, found, belief, old, worn, naked, apart_cD, corrects,
        "mean" if agrees else "before",
    )  # fmt: skip


def old_eye(natural: Exam, lens: Implant, found: Observed) -> Eye | None:
    """Return the eye with its lens where it lies; None where the catalogue knows the lens no more.

    No change of the cornea is reckoned with: whatever surgery did to it is in the naked refraction.
    """
    model = model_named(natural, lens.entry.body["lens"]["model"])
    if model is None:
        return None
    eye = eye_at(natural, float(found.vault_um), model.offset_um)
    return Eye(eye.refraction, eye.vertex_mm, eye.cornea, PLANO, eye.position_mm)


def before_vector(work: Work) -> PowerVector:
    """Return the refraction from before surgery [D] in its own plane."""
    return needed_before(work.natural)


def needed_before(natural: Exam) -> PowerVector:
    """Return the refraction from before surgery [D] where an exchange lacks nothing."""
    vector = refraction_before(natural)
    if vector is None:
        raise BadInput("entries", "no refraction from before surgery")
    return vector


def refraction_before(natural: Exam) -> PowerVector | None:
    """Return the refraction from before surgery [D] in its own plane, None without one."""
    used = natural.this.refraction
    if used is None:
        return None
    axis_deg = float(used.axis_deg or 180)
    return power_vector(Refraction(used.sphere_cD / 100.0, used.cylinder_cD / 100.0, axis_deg))


def is_high(work: Work) -> bool:
    """Return whether the vault is known and lies above the window."""
    vault_um = work.found.vault_um
    return vault_um is not None and bool(vault_um > work.natural.limits["window_high_um"])


def is_low(work: Work) -> bool:
    """Return whether the vault is known and lies below the window."""
    vault_um = work.found.vault_um
    return vault_um is not None and bool(vault_um < work.natural.limits["window_low_um"])
