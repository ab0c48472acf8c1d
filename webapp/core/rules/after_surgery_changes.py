"""E1, E2, E3: what changed in an eye since before its surgery, each beside its own reading there.

Where nothing was measured before, nothing is compared.
"""

from webapp.core.case.implants import Implant, before, newest_visit
from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution
from webapp.core.live import of_kind
from webapp.core.wording import fixed, millimetres, pressure

TELL = "Tell the surgeon."


def changed(exam: Exam, implant: Implant) -> list[Finding]:
    """Return what the newest follow-ups show against the readings before surgery."""
    return (
        pressure_rise(exam, implant) + pupil(exam, implant) + angle(exam, implant)
        + cells(exam, implant) + clarity(implant) + turned_axis(exam, implant)
    )  # fmt: skip


def values_before(exam: Exam, implant: Implant, kind: str, field: str) -> list[int]:
    """Return the recorded values of a quantity before surgery."""
    earlier = of_kind(before(exam.standing, exam.this.eye, implant.entry), kind)
    return [one.body[field] for one in earlier if one.body[field] is not None]


def alert(code: str, title: str, text: str, do: str, records: list[str]) -> list[Finding]:
    """Return one caution about an eye after surgery."""
    return [caution("E1." + code, "after_surgery", title, text, do, records)]


def pressure_rise(exam: Exam, implant: Implant) -> list[Finding]:
    """E1: a pressure well above the highest before surgery."""
    earlier = values_before(exam, implant, "reading.pressure", "iop_dmmHg")
    for one in newest_visit(implant, "followup.pressure"):
        found = one.body["iop_dmmHg"]
        if earlier and found - max(earlier) >= exam.limits["after_pressure_rise_dmmHg"]:
            text = pressure(found) + " now, " + pressure(max(earlier)) + " before surgery."
            return alert("pressure_rise", "Pressure has risen", text,
                         "Look at angle and vault at this visit. " + TELL, [one.id])  # fmt: skip
    return []


def pupil(exam: Exam, implant: Implant) -> list[Finding]:
    """E1: a pupil larger than before in the same light: the iris may be pressed on."""
    for one in newest_visit(implant, "followup.pupil"):
        light, found_um = one.body["light"], one.body["diameter_um"]
        earlier = [
            past.body["diameter_um"]
            for past in before(exam.standing, exam.this.eye, implant.entry)
            if past.kind == "reading.pupil" and past.body["light"] == light
        ]
        if earlier and found_um - max(earlier) > exam.limits["after_pupil_um"]:
            text = millimetres(found_um) + " now, " + millimetres(max(earlier)) + " before surgery."
            return alert("pupil", "Pupil larger than before", text,
                         "Check vault, angle and pressure. " + TELL, [one.id])  # fmt: skip
    return []


def angle(exam: Exam, implant: Implant) -> list[Finding]:
    """E1: an angle narrower by two grades or more, or closed."""
    earlier = values_before(exam, implant, "reading.angle", "grade")
    for one in newest_visit(implant, "followup.angle"):
        grade = one.body["grade"]
        if grade is None:
            continue
        has_dropped = earlier and min(earlier) - grade >= exam.limits["after_angle_grades"]
        if grade == 0 or has_dropped:
            was = ", " + str(min(earlier)) + " before surgery" if earlier else ""
            return alert("angle", "Angle has narrowed", "Grade " + str(grade) + " now" + was + ".",
                         "Look at pressure and vault today. " + TELL, [one.id])  # fmt: skip
    return []


def cells(exam: Exam, implant: Implant) -> list[Finding]:
    """E1: fewer endothelial cells; two counts alone never prove a trend.

    Two counts a year apart, each 5 % uncertain, give a rate with a standard error of 7 % a year.
    """
    earlier = values_before(exam, implant, "reading.endothelial_count", "ecd_pmm2")
    for one in newest_visit(implant, "followup.endothelial_count"):
        found, percent = one.body["ecd_pmm2"], exam.limits["after_cells_percent"]
        if earlier and 100 * (min(earlier) - found) > percent * min(earlier):
            text = str(found) + " now, " + str(min(earlier)) + " before surgery."
            text += " One pair of counts may be chance."
            return alert("cells", "Fewer endothelial cells", text,
                         "Count again on the same instrument. " + TELL, [one.id])  # fmt: skip
    return []


def clarity(implant: Implant) -> list[Finding]:
    """E1: any opacity of the natural lens."""
    for one in newest_visit(implant, "followup.lens_clarity"):
        if one.body["clarity"] != "clear":
            where = "at its front" if one.body["clarity"] == "front_opacity" else "elsewhere"
            return alert("opacity", "Natural lens clouded", "It is clouded " + where + ".",
                         "Measure the vault and note acuity. " + TELL, [one.id])  # fmt: skip
    return []


def turned_axis(exam: Exam, implant: Implant) -> list[Finding]:
    """E3: a toric lens seen well away from the axis that it was meant to lie at."""
    meant_deg = implant.entry.body["lens"]["axis_deg"]
    for one in newest_visit(implant, "followup.axis_seen"):
        if meant_deg is None:
            continue
        apart_deg = abs(one.body["seen_axis_deg"] - meant_deg) % 180
        apart_deg = min(apart_deg, 180 - apart_deg)
        if apart_deg >= exam.limits["after_turn_deg"]:
            text = ("Seen at " + str(one.body["seen_axis_deg"]) + ", meant for " + str(meant_deg)
                    + ": " + fixed(apart_deg, 1, 0) + " degrees away.")  # fmt: skip
            return alert("turned", "Lens turned", text,
                         "Refract; a turn matters with 0.75 D of cylinder left. " + TELL,
                         [one.id])  # fmt: skip
    return []
