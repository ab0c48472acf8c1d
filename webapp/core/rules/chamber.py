"""D03 to D05: room in front of the natural lens, the surface it was measured from, the angle."""

from webapp.core.describe_values import value_text
from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution, fixed_stop, stop
from webapp.core.wording import capital, micrometres, millimetres

# In the plan's own words, which says whether there are two such lengths and which has less vault.
WEIGH_THE_VAULT = "Where two lengths fit almost alike, weigh the lower vault."


def findings(exam: Exam) -> list[Finding]:
    """Return findings about chamber depth and angle."""
    return surface(exam) + depth(exam) + angle(exam)


def has_little_room(exam: Exam) -> bool:
    """Return whether a caution asks to weigh the lower vault: little depth or a narrow angle."""
    return any([one.code in ("D03.low", "D05.narrow") for one in depth(exam) + angle(exam)])


def surface(exam: Exam) -> list[Finding]:
    """D04: a depth without its surface, or depths from two surfaces that do not fit together."""
    entries = exam.this.readings["reading.chamber_depth"]
    unnamed = [one for one in entries if one.body["surface"] not in ("endothelium", "epithelium")]
    if unnamed:
        return [fixed_stop(
            "D04.surface", "chamber", "Depth without its surface",
            "Nobody said whether the depth counts from endothelium or epithelium; the corneal"
            " thickness between them is 0.1 to 0.5 D of lens power and half a millimetre of room.",
            "Look it up for this device and correct the reading.", [one.id for one in unnamed],
        )]  # fmt: skip
    if len({one.body["surface"] for one in entries}) < 2:
        return []
    words = " and ".join(value_text(one) for one in entries)
    fit = "Corneal thickness, which should explain the difference, is missing."
    if exam.this.thickness_um is not None:
        gap_um = mean_gap_um(exam)
        fits = abs(gap_um - exam.this.thickness_um) <= exam.limits["depth_surfaces_um"]
        fit = (
            "They differ by "
            + micrometres(gap_um)
            + ", the cornea measures "
            + micrometres(exam.this.thickness_um)
            + (": they fit together." if fits else ": they do not fit together.")
        )
    return [fixed_stop(
        "D04.surfaces", "chamber", "Depths from two surfaces",
        words + ". " + fit + " Depths from two surfaces are not averaged.",
        "Withdraw the one that should not be used.", [one.id for one in entries],
    )]  # fmt: skip


def mean_gap_um(exam: Exam) -> int:
    """Return mean depth from the epithelium minus mean depth from the endothelium [um]."""
    means = []
    for name in ("epithelium", "endothelium"):
        depths_um = [
            one.body["depth_um"]
            for one in exam.this.readings["reading.chamber_depth"]
            if one.body["surface"] == name
        ]
        total_um = 0
        for depth_um in depths_um:
            total_um += depth_um
        means.append(total_um // len(depths_um))
    return means[0] - means[1]


def shallowest_um(exam: Exam) -> int | None:
    """Return the smallest depth from the endothelium [um] that the readings allow, or None."""
    thickest_um = exam.this.thickness_um
    depths_um = []
    for one in exam.this.readings["reading.chamber_depth"]:
        if one.body["surface"] == "endothelium":
            depths_um.append(one.body["depth_um"])
        elif one.body["surface"] == "epithelium" and thickest_um is not None:
            depths_um.append(one.body["depth_um"] - thickest_um)
    if exam.this.endothelial_depth_um is not None:
        return int(exam.this.endothelial_depth_um)
    return min(depths_um) if depths_um else None


def depth(exam: Exam) -> list[Finding]:
    """D03: too little room for a lens. Where readings are not settled, the shallowest counts."""
    depth_um = shallowest_um(exam)
    if depth_um is None:
        return []
    records = [one.id for one in exam.this.readings["reading.chamber_depth"]]
    least_um, usual_um = exam.limits["depth_stop_below_um"], exam.limits["depth_caution_below_um"]
    text = millimetres(depth_um) + " from the endothelium: below "
    if depth_um < least_um:
        return [stop(
            "D03.shallow", "chamber", "Chamber too shallow",
            text + millimetres(least_um) + " a lens endangers the endothelium and the angle.",
            "Measure again if a slip is possible. Otherwise no lens here.", records,
        )]  # fmt: skip
    if depth_um < usual_um and mean_sphere_cD(exam) > 0:
        return [stop(
            "D03.plus", "chamber", "Chamber too shallow for a plus lens",
            text + millimetres(usual_um) + " a plus lens, thick in the middle, lacks room.",
            "Measure again if a slip is possible. Otherwise no lens here.", records,
        )]  # fmt: skip
    if depth_um < usual_um:
        return [caution(
            "D03.low", "chamber", "Shallow chamber",
            text + millimetres(usual_um) + " there is little room, and vault takes more of it.",
            "Look at the angle. " + WEIGH_THE_VAULT, records,
        )]  # fmt: skip
    return []


def mean_sphere_cD(exam: Exam) -> float:
    """Return the mean sphere [cD] of the refraction in use, 0 where there is none."""
    refraction = exam.this.refraction
    return 0.0 if refraction is None else refraction.sphere_cD + refraction.cylinder_cD / 2.0


def angle(exam: Exam) -> list[Finding]:
    """D05: each reading of the angle is judged; the worst one counts."""
    entries = exam.this.readings["reading.angle"]
    worst = 0
    for entry in entries:
        worst = max(worst, narrowness(exam, entry.body["grade"], entry.body["angle_deg"]))
    if worst == 0:
        return []
    words = " / ".join(value_text(one) for one in entries)
    text = capital(words) + ". A lens narrows the angle by about 14 to 21 degrees."
    records = [one.id for one in entries]
    if worst == 2:
        return [stop(
            "D05.closed", "angle", "Angle too narrow", text + " This one could close.",
            "Repeat the gonioscopy. If it is confirmed, no lens here.", records,
        )]  # fmt: skip
    return [caution(
        "D05.narrow", "angle", "Narrow angle", text,
        "Repeat the gonioscopy. " + WEIGH_THE_VAULT, records,
    )]  # fmt: skip


def narrowness(exam: Exam, grade: int | None, angle_deg: int | None) -> int:
    """Return 2 for an angle at its stop limit, 1 at its caution limit, else 0."""
    limits = exam.limits
    if grade is not None and grade <= limits["angle_stop_grade"]:
        return 2
    if angle_deg is not None and angle_deg < limits["angle_stop_below_deg"]:
        return 2
    if grade is not None and grade <= limits["angle_caution_grade"]:
        return 1
    if angle_deg is not None and angle_deg < limits["angle_caution_below_deg"]:
        return 1
    return 0
