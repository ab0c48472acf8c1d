"""D15: the two eyes of one person are alike; a large difference is often a slip."""

from collections import namedtuple

from webapp.core.exam import Exam, Eye
from webapp.core.finding import Finding, caution
from webapp.core.optics import PowerVector, at_cornea
from webapp.core.rules.health import lowest_count
from webapp.core.units import to_step
from webapp.core.used import RefractionUsed
from webapp.core.wording import micrometres, millimetres, size_in_dioptres

# here, there: the value of this eye and its fellow in recorded units, or None. limit: its name.
# write: how a difference is written.
Comparison = namedtuple("Comparison", ("kind", "word", "here", "there", "limit", "write"))


def findings(exam: Exam) -> list[Finding]:
    """Return findings about differences between this eye and its fellow."""
    found = []
    for one in comparisons(exam):
        if one.here is None or one.there is None:
            continue
        apart, most = abs(one.here - one.there), exam.limits[one.limit]
        if apart > most:
            found.append(finding(exam, one.kind, one.word, one.write(apart), one.write(most)))
    return found + cells(exam)


def comparisons(exam: Exam) -> list[Comparison]:
    """Return each quantity that is compared between the eyes."""
    this, fellow = exam.this, exam.fellow
    return [
        Comparison("reading.refraction", "mean sphere", mean_sphere(this, fellow),
                   mean_sphere(fellow, this), "eyes_refraction_cD", size_in_dioptres),
        Comparison("reading.keratometry", "mean corneal power", mean_cornea(this),
                   mean_cornea(fellow), "eyes_cornea_cD", size_in_dioptres),
        Comparison("reading.chamber_depth", "chamber depth", this.endothelial_depth_um,
                   fellow.endothelial_depth_um, "eyes_depth_um", millimetres),
        Comparison("reading.corneal_thickness", "corneal thickness", this.thickness_um,
                   fellow.thickness_um, "eyes_thickness_um", micrometres),
        Comparison("reading.white_to_white", "white-to-white", width(this), width(fellow),
                   "eyes_diameter_um", millimetres),
    ]  # fmt: skip


def mean_sphere(eye: Eye, other: Eye) -> int | None:
    """Return the mean sphere [cD] of an eye, at the cornea unless both eyes share a plane."""
    refraction = eye.refraction
    if refraction is None:
        return None
    mean_cD = refraction.sphere_cD + refraction.cylinder_cD / 2.0
    shared = other.refraction is None or place(refraction) == place(other.refraction)
    if shared or refraction.vertex_um is None:
        return to_step(mean_cD, 1.0)
    sphere = PowerVector(mean_cD / 100.0, 0.0, 0.0)
    return to_step(100.0 * at_cornea(sphere, refraction.vertex_um / 1000.0).mean_d, 1.0)


def place(refraction: RefractionUsed) -> tuple[str, int | None]:
    """Return where a refraction was measured."""
    return (refraction.plane, refraction.vertex_um)


def mean_cornea(eye: Eye) -> int | None:
    """Return the mean corneal power [cD] of an eye."""
    return None if eye.cornea is None else (eye.cornea.flat_cD + eye.cornea.steep_cD) // 2


def width(eye: Eye) -> int | None:
    """Return the white-to-white [um] of an eye."""
    return None if eye.white_to_white is None else int(eye.white_to_white.value_um)


def finding(exam: Exam, kind: str, word: str, apart: str, most: str) -> Finding:
    """Return the caution for one quantity that differs too much between the eyes."""
    records = [one.id for eye in (exam.this, exam.fellow) for one in eye.readings[kind]]
    return caution(
        "D15." + kind.split(".")[1], "fellow", "The eyes differ: " + word,
        "The two eyes differ by " + apart + " in " + word + "; more than " + most
        + " is unusual. Swapped eyes or a misread value look like this.",
        "Check both papers, and measure the less likely eye again.", records,
    )  # fmt: skip


def cells(exam: Exam) -> list[Finding]:
    """D15: endothelial counts that differ by more than a percentage of the higher one."""
    here, there = lowest_count(exam.this), lowest_count(exam.fellow)
    percent = exam.limits["eyes_cells_percent"]
    if here is None or there is None:
        return []
    if 100 * abs(here - there) <= percent * max(here, there):
        return []
    return [finding(
        exam, "reading.endothelial_count", "endothelial count",
        str(abs(here - there)) + " cells/mm\u00b2", str(percent) + " %",
    )]  # fmt: skip
