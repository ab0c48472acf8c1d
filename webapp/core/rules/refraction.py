"""D19 to D23 and D29: the refraction, its plane, its axis against the cornea, and acuity."""

from webapp.core.axes import between_axes
from webapp.core.describe_values import value_text
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution, fixed_stop, note
from webapp.core.optics import blur, subtracted
from webapp.core.units import to_step
from webapp.core.used import corneal_vector_of, is_placed
from webapp.core.wording import acuity, size_in_dioptres


def findings(exam: Exam) -> list[Finding]:
    """Return findings about refraction and acuity."""
    entries = exam.this.readings["reading.refraction"]
    found = []
    for entry in entries:
        found += plane(entry)
    placed = [entry for entry in entries if is_placed(entry)]
    found += disagreement(exam, placed) + cylinder_signs(entries + visits_before(exam))
    found += vertices(placed)
    return found + axis_against_cornea(exam) + poor_acuity(exam)


def plane(entry: Entry) -> list[Finding]:
    """D22, D23: where the refraction was measured must be known exactly once."""
    stated, vertex_um = entry.body["plane"], entry.body["vertex_um"]
    if stated not in ("spectacle", "corneal") or (stated == "corneal" and vertex_um is not None):
        return [fixed_stop(
            "D23.plane", "refraction", "Refraction without a clear plane",
            "The refraction must be either at the glasses with a vertex distance, or at the cornea"
            " without one. Moved to the cornea twice, −10 D is wrong by 0.84 D.",
            "Correct the reading: say where it was measured.", [entry.id],
        )]  # fmt: skip
    if not is_placed(entry):
        return [fixed_stop(
            "D22.vertex", "refraction", "Vertex distance",
            "A refraction at the glasses needs a vertex distance from 8.0 to 18.0 mm: each"
            " millimetre moves a −10 D eye by 0.08 D and a −20 D eye by 0.24 D.",
            "Measure the vertex distance and correct the reading.", [entry.id],
        )]  # fmt: skip
    return []


def vertices(placed: list[Entry]) -> list[Finding]:
    """D22: readings at different vertex distances are averaged at the cornea."""
    if len({(one.body["plane"], one.body["vertex_um"]) for one in placed}) < 2:
        return []
    return [note(
        "D22.different", "refraction", "Different vertex distances",
        "The refractions were measured at different distances. They are moved to the cornea and"
        " averaged there.",
        "Use one distance for repeats.", [one.id for one in placed],
    )]  # fmt: skip


def disagreement(exam: Exam, placed: list[Entry]) -> list[Finding]:
    """D19: two refractions of one eye that cannot both be right."""
    furthest_cD, pair = 0, []
    for index, one in enumerate(placed):
        for other in placed[index + 1 :]:
            apart = blur(subtracted(corneal_vector_of(one), corneal_vector_of(other)))
            apart_cD = to_step(apart * 100.0, 1.0)
            if apart_cD > furthest_cD:
                furthest_cD, pair = apart_cD, [one, other]
    if furthest_cD <= exam.limits["refractions_disagree_cD"]:
        return []
    words = " and ".join(value_text(one) for one in pair)
    return [fixed_stop(
        "D19.disagree", "refraction", "Refractions disagree",
        "Two refractions differ by " + size_in_dioptres(furthest_cD) + " (blur strength): " + words
        + ". A sign, an axis or a transposition slip does this.",
        "Refract again and withdraw the wrong one.", [one.id for one in pair],
    )]  # fmt: skip


def visits_before(exam: Exam) -> list[Entry]:
    """Return the refractions of earlier visits."""
    return [one for one in exam.this.earlier if one.kind == "reading.refraction"]


def cylinder_signs(entries: list[Entry]) -> list[Finding]:
    """D19: plus and minus cylinder mixed for one eye, at one visit or between two."""
    minus = [one for one in entries if one.body["cylinder_cD"] < 0]
    plus = [one for one in entries if one.body["cylinder_cD"] > 0]
    if not minus or not plus:
        return []
    return [caution(
        "D19.mixed", "refraction", "Plus and minus cylinder mixed",
        "One refraction has a plus cylinder and another a minus cylinder. Both forms are"
        " understood, but a slip while changing form is easy.",
        "Check each against the trial frame.", [one.id for one in entries],
    )]  # fmt: skip


def axis_against_cornea(exam: Exam) -> list[Finding]:
    """D20, D21: the minus-cylinder axis usually lies along the flat meridian of the cornea."""
    refraction, cornea = exam.this.refraction, exam.this.cornea
    if refraction is None or cornea is None or refraction.axis_deg is None:
        return []
    least_cD = exam.limits["axis_cylinder_cD"]
    if -refraction.cylinder_cD < least_cD or cornea.steep_cD - cornea.flat_cD < least_cD:
        return []
    flat_deg = (cornea.steep_meridian_deg + 90) % 180
    allowed_deg = exam.limits["axis_differ_deg"]
    if between_axes(refraction.axis_deg, flat_deg) <= allowed_deg:
        return []
    records = [one.id for one in exam.this.readings["reading.refraction"]]
    text = (
        "Minus-cylinder axis " + str(refraction.axis_deg) + ", flat corneal meridian "
        + str(flat_deg or 180) + ". "
    )  # fmt: skip
    if between_axes(refraction.axis_deg + 90, flat_deg) <= allowed_deg:
        return [caution(
            "D21.flipped", "refraction", "Axis across the cornea",
            text + "Turned by 90 degrees it would fit: perhaps a half-done transposition.",
            "Check axis and sign of the cylinder in the trial frame.", records,
        )]  # fmt: skip
    if between_axes(180 - refraction.axis_deg, flat_deg) <= allowed_deg:
        return [caution(
            "D20.mirrored", "refraction", "Axis mirrored",
            text + "Its mirror axis " + str(180 - refraction.axis_deg) + " would fit: perhaps the"
            " eyes or the scale were mixed up.",
            "Check the axis in the trial frame, and that the paper belongs to this eye.", records,
        )]  # fmt: skip
    return []


def poor_acuity(exam: Exam) -> list[Finding]:
    """D29: an eye that does not see well even with its best glasses."""
    entries = exam.this.readings["reading.acuity"]
    if not entries:
        return []
    worst_c = max([one.body["logmar_c"] for one in entries])
    if worst_c <= exam.limits["acuity_worse_than_c"]:
        return []
    return [caution(
        "D29.acuity", "acuity", "Best corrected acuity is low",
        acuity(worst_c) + " with the best correction is worse than "
        + acuity(exam.limits["acuity_worse_than_c"])
        + ": a weak eye or a sick retina would see no better with a lens.",
        "Say what explains it, or have the retina examined.", [one.id for one in entries],
    )]  # fmt: skip
