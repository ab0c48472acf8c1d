"""D20, D21: the cylinder axis against the fellow's, where nothing nearer can say.

The axes of two eyes tend to mirror each other: left is about 180 minus right (common practice, as a
sign of plausibility alone). Many healthy pairs do not, so the fellow is the last witness: heard
only where neither the cornea nor another refraction of this eye, with a strong cylinder, can say.
"""

from webapp.core.axes import between_axes
from webapp.core.earlier import dated_refractions, of_this_visit
from webapp.core.exam import Exam, Eye
from webapp.core.finding import Finding, caution
from webapp.core.used import minus_form


def findings(exam: Exam) -> list[Finding]:
    """Return the caution for an axis that fits the fellow's only when mirrored or turned."""
    here_deg, there_deg = strong_axis(exam, exam.this), strong_axis(exam, exam.fellow)
    if here_deg is None or there_deg is None or has_nearer_witness(exam):
        return []
    allowed_deg, mirror_deg = exam.limits["axis_differ_deg"], (180 - there_deg) % 180 or 180
    if between_axes(here_deg, mirror_deg) <= allowed_deg:
        return []
    text = (
        "Minus-cylinder axis " + str(here_deg) + "; the fellow\u2019s is " + str(there_deg)
        + ", and its mirror " + str(mirror_deg) + " would be expected here. "
    )  # fmt: skip
    if between_axes(here_deg + 90, mirror_deg) <= allowed_deg:
        return [made(
            exam, "D21.fellow", "Axis across the fellow\u2019s",
            text + "Turned by 90 degrees it would fit: perhaps a half-done transposition.",
        )]  # fmt: skip
    if between_axes(180 - here_deg, mirror_deg) <= allowed_deg:
        return [made(
            exam, "D20.fellow", "Axis the same in both eyes",
            text + "Two eyes mirror each other more often than they repeat: perhaps one axis was"
            " copied, or one paper belongs to the other eye.",
        )]  # fmt: skip
    return []


def strong_axis(exam: Exam, eye: Eye) -> int | None:
    """Return the minus-cylinder axis [deg] in use of an eye, None without a strong cylinder."""
    used = eye.refraction
    if used is None or -used.cylinder_cD < exam.limits["axis_cylinder_cD"]:
        return None
    axis_deg: int | None = used.axis_deg
    return axis_deg


def has_nearer_witness(exam: Exam) -> bool:
    """Return whether this eye's cornea or another refraction of it can judge the axis."""
    cornea = exam.this.cornea
    toric_cD = 0 if cornea is None else cornea.steep_cD - cornea.flat_cD
    if toric_cD >= exam.limits["axis_cylinder_cD"]:
        return True
    others = of_this_visit(exam.this, "reading.auto_refraction", exam.limits["visit_days"])
    others = others + [one.entry for one in dated_refractions(exam.this)]
    least_cD = exam.limits["axis_old_cylinder_cD"]
    return any(-minus_form(one.body)[1] >= least_cD for one in others)


def made(exam: Exam, code: str, title: str, text: str) -> Finding:
    """Return the caution."""
    both = [eye.readings["reading.refraction"] for eye in (exam.this, exam.fellow)]
    return caution(
        code, "refraction", title, text,
        "Check the axes of both eyes in the trial frame, and that each paper belongs to its eye.",
        [one.id for entries in both for one in entries],
    )  # fmt: skip
