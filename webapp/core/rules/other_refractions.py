"""D19, D20, D21, D25, D26: the refraction against the other refractions of the same eye."""

from webapp.core.axes import between_axes
from webapp.core.earlier import dated_refractions, of_this_visit
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution, note, stop
from webapp.core.optics import blur, subtracted
from webapp.core.units import to_step
from webapp.core.used import corneal_vector_of, is_placed, mean_vector, minus_form
from webapp.core.wording import size_in_dioptres

OTHERS = (
    ("auto", "auto-refraction"),
    ("earlier", "earlier refraction"),
)


def findings(exam: Exam) -> list[Finding]:
    """Return findings about disagreements between refractions of different kinds."""
    days = exam.limits["visit_days"]
    auto = of_this_visit(exam.this, "reading.auto_refraction", days)
    found = automatic(exam, auto) + cycloplegic(exam) + other_form(exam)
    before = [one.entry for one in dated_refractions(exam.this)]
    for (source, word), entries in zip(OTHERS, (auto, before)):
        found += axis_against(exam, source, word, entries)
    return found


def manifest(exam: Exam) -> list[Entry]:
    """Return the refractions of this visit, none while one has no known plane."""
    entries: list[Entry] = exam.this.readings["reading.refraction"]
    return entries if all([is_placed(one) for one in entries]) else []


def automatic(exam: Exam, auto: list[Entry]) -> list[Finding]:
    """D25: what the machine reads is no prescription, but it knows a slip when it sees one."""
    entries = manifest(exam)
    if not entries or not auto:
        return []
    here = mean_vector([corneal_vector_of(one) for one in entries])
    mean_cD, blur_cD = 0, 0
    for one in auto:
        apart = subtracted(corneal_vector_of(one), here)
        mean_cD = max(mean_cD, to_step(abs(apart.mean_d) * 100.0, 1.0))
        blur_cD = max(blur_cD, to_step(blur(apart) * 100.0, 1.0))
    if mean_cD <= exam.limits["auto_mean_cD"] and blur_cD <= exam.limits["auto_blur_cD"]:
        return []
    return [caution(
        "D25.auto", "refraction", "Auto-refraction differs",
        "Refraction and auto-refraction differ by " + size_in_dioptres(mean_cD)
        + " in mean sphere, " + size_in_dioptres(blur_cD)
        + " in all. A slip of sign, axis or eye, or accommodation, does this.",
        "Repeat both before deciding.", [one.id for one in entries + auto],
    )]  # fmt: skip


def cycloplegic(exam: Exam) -> list[Finding]:
    """D26: more plus without accommodation means that the manifest refraction has too much minus.

    The lens would then leave the eye long-sighted.
    """
    entries = manifest(exam)
    drops = of_this_visit(exam.this, "reading.cycloplegic_refraction", exam.limits["visit_days"])
    if not entries or not drops:
        return []
    here_d = mean_vector([corneal_vector_of(one) for one in entries]).mean_d
    plus_d = max([corneal_vector_of(one).mean_d for one in drops]) - here_d
    plus_cD = to_step(plus_d * 100.0, 1.0)
    if plus_cD <= exam.limits["cycloplegic_caution_cD"]:
        return []
    make, code, title = caution, "D26.minus", "Perhaps too much minus"
    if plus_cD > exam.limits["cycloplegic_stop_cD"]:
        make, code, title = stop, "D26.accommodation", "Too much minus"
    return [make(
        code, "refraction", title,
        "With the accommodation at rest the eye reads " + size_in_dioptres(plus_cD)
        + " more plus. A lens for the manifest refraction would leave it long-sighted.",
        "Refract again with fogging; the surgeon weighs both.",
        [one.id for one in entries + drops],
    )]  # fmt: skip


def other_form(exam: Exam) -> list[Finding]:
    """D19: paper or machine in the other cylinder form; understood, but worth a look."""
    others = exam.this.readings["reading.auto_refraction"] + [
        one.entry
        for one in dated_refractions(exam.this)
        if one.entry.kind == "reading.earlier_refraction"
    ]
    here, there = (
        {one.body["cylinder_cD"] > 0 for one in entries if one.body["cylinder_cD"]}
        for entries in (exam.this.readings["reading.refraction"], others)
    )
    if len(here) != 1 or not there or here == there:
        return []
    return [note(
        "D19.form", "refraction", "Other form of cylinder elsewhere",
        "Another refraction of this eye is written with the other sign of cylinder. Both forms are"
        " understood.",
        "Copy each as it is written; never turn it in your head.", [one.id for one in others],
    )]  # fmt: skip


def axis_against(exam: Exam, source: str, word: str, entries: list[Entry]) -> list[Finding]:
    """D20, D21: an axis that fits the other refraction only when it is turned or mirrored."""
    used = exam.this.refraction
    if used is None or used.axis_deg is None:
        return []
    least_cD, allowed_deg = exam.limits["axis_old_cylinder_cD"], exam.limits["axis_differ_deg"]
    if -used.cylinder_cD < least_cD:
        return []
    axes_deg = []
    for one in entries:
        _sphere_cD, cylinder_cD, axis_deg = minus_form(one.body)
        if axis_deg is not None and -cylinder_cD >= least_cD:
            axes_deg.append(axis_deg)
    if not axes_deg or fits(used.axis_deg, axes_deg, allowed_deg):
        return []
    records = [one.id for one in manifest(exam) + entries]
    text = (
        "Minus-cylinder axis " + str(used.axis_deg) + ", in the " + word + " "
        + " / ".join([str(one_deg) for one_deg in sorted(axes_deg)]) + ". "
    )  # fmt: skip
    if fits(used.axis_deg + 90, axes_deg, allowed_deg):
        return [caution(
            "D21." + source, "refraction", "Axis across the " + word,
            text + "Turned by 90 degrees it would fit: perhaps a half-done transposition.",
            "Check axis and sign of both cylinders.", records,
        )]  # fmt: skip
    if fits(180 - used.axis_deg, axes_deg, allowed_deg):
        return [caution(
            "D20." + source, "refraction", "Axis mirrored against the " + word,
            text + "Its mirror axis " + str(180 - used.axis_deg) + " would fit: perhaps the eyes or"
            " the scale were mixed up.",
            "Check the axis, and that both belong to this eye.", records,
        )]  # fmt: skip
    return []


def fits(axis_deg: int, others_deg: list[int], allowed_deg: int) -> bool:
    """Return whether an axis lies within an angle of any of some others."""
    return any(between_axes(axis_deg, other_deg) <= allowed_deg for other_deg in others_deg)
