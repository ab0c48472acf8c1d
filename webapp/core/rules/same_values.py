"""D24: values of this eye that are the other eye's to the last digit (H01).

The two eyes of a person are alike, and one quantity is often equal; several to the last digit are
not. Each equal quantity counts one. An equal axis counts one more unless it is its own mirror (90
or 180), because the axes of two eyes mirror each other and do not repeat. Pressure, pupil, acuity
and angle are read in steps so coarse that equal values say nothing. Severity: a stop that the
surgeon may override in writing, since equal eyes exist; readings taken once more lift it too, as
nobody reads the same digits again by chance.
"""

from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.finding import Finding, stop
from webapp.core.measured import word_of

# What is compared of each quantity, and which of it is an axis.
COMPARED: dict[str, tuple[tuple[str, ...], str | None]] = {
    "reading.refraction": (("sphere_cD", "cylinder_cD", "axis_deg", "plane"), "axis_deg"),
    "reading.keratometry": (
        ("flat_cD", "steep_cD", "flat_radius_um", "steep_radius_um", "steep_meridian_deg"),
        "steep_meridian_deg",
    ),
    "reading.chamber_depth": (("depth_um",), None),
    "reading.corneal_thickness": (("thickness_um",), None),
    "reading.white_to_white": (("diameter_um",), None),
    "reading.sulcus_to_sulcus": (("diameter_um",), None),
    "reading.lens_rise": (("rise_um",), None),
    "reading.endothelial_count": (("ecd_pmm2",), None),
}
OWN_MIRROR_DEG = (None, 90, 180)
NOW, BEFORE = "D24.same", "D24.same_as_before"


def findings(exam: Exam) -> list[Finding]:
    """Return the stop for values that are the other eye's of this visit, or of an earlier one."""
    this, fellow = exam.this, exam.fellow
    before = {
        kind: [one for one in fellow.earlier if one.kind == kind] for kind in this.readings
    }  # fmt: skip
    found = []
    for code, theirs in ((NOW, fellow.readings), (BEFORE, before)):
        kinds = equal_kinds(this.readings, theirs)
        if weight(this.readings, kinds) >= exam.limits["same_values_stop"]:
            found.append(finding(code, kinds, this.readings, theirs))
    return found


def equal_kinds(mine: dict[str, list[Entry]], theirs: dict[str, list[Entry]]) -> list[str]:
    """Return the quantities whose every reading in one eye has its equal in the other eye."""
    found = []
    for kind in COMPARED:
        here, there = ({values(kind, one) for one in eye[kind]} for eye in (mine, theirs))
        if here and there and (here <= there or there <= here):
            found.append(kind)
    return found


def values(kind: str, entry: Entry) -> tuple[object, ...]:
    """Return what is compared of one reading."""
    return tuple([entry.body[name] for name in COMPARED[kind][0]])


def weight(mine: dict[str, list[Entry]], kinds: list[str]) -> int:
    """Return what equal quantities count: one each, two with an axis that is not its own mirror."""
    total = 0
    for kind in kinds:
        axis = COMPARED[kind][1]
        axes_deg = [one.body[axis] for one in mine[kind]] if axis is not None else []
        total += 2 if any(axis_deg not in OWN_MIRROR_DEG for axis_deg in axes_deg) else 1
    return total


def finding(
    code: str, kinds: list[str], mine: dict[str, list[Entry]], theirs: dict[str, list[Entry]]
) -> Finding:
    """Return the stop, which names the quantities and asks for a second look."""
    words = ", ".join([word_of(kind) for kind in kinds])
    whose = "the other eye\u2019s" if code == NOW else "the other eye\u2019s of an earlier visit"
    return stop(
        code, "wrong_eye", "Both eyes have the same values",
        "To the last digit these are " + whose + ": " + words + ". Two eyes are never equal in so"
        " much; one eye was probably entered twice.",
        "Look at the papers of both eyes, withdraw what stands at the wrong eye, and measure it"
        " again. Overriding this needs readings of each eye seen on its own paper.",
        [one.id for kind in kinds for one in mine[kind] + theirs[kind]],
    )  # fmt: skip
