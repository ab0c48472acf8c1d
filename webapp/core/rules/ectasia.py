"""D09: a cornea that may be giving way: thin, steep, uneven from above to below, or warned of.

It stops until stability is shown: a refraction from a year ago that agrees, and a map from a year
ago, of the same device, from which Kmax has not risen. Then it is a caution.
"""

from webapp.core.dates import days_from
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution, stop
from webapp.core.rules.stability import is_stable
from webapp.core.used import device_of, made
from webapp.core.wording import capital, dioptres, micrometres, size_in_dioptres

MAP = "reading.tomography"


def findings(exam: Exam) -> list[Finding]:
    """Return findings about a cornea that may be unstable."""
    stable = is_stable(exam) and is_map_stable(exam)
    return thin(exam, stable) + shape(exam, stable)


def weighed(
    stable: bool, code: str, title: str, text: str, do: str, records: list[str]
) -> list[Finding]:
    """Return a stop, or a caution where a year without change was shown."""
    if stable:
        text += " Refraction and map have not changed for a year."
        return [caution(code + "_stable", "cornea", title, text, do, records)]
    return [stop(code, "cornea", title, text, do, records)]


def thin(exam: Exam, stable: bool) -> list[Finding]:
    """Judge the thinnest reading."""
    entries = exam.this.readings["reading.corneal_thickness"]
    if not entries:
        return []
    thinnest_um = min([one.body["thickness_um"] for one in entries])
    least_um = exam.limits["cornea_thin_stop_below_um"]
    if thinnest_um >= least_um:
        return []
    return weighed(
        stable, "D09.thin", "Thin cornea",
        micrometres(thinnest_um) + ": below " + micrometres(least_um)
        + " the cornea may be giving way.",
        "Have the cornea mapped, and again after a year, before deciding.",
        [one.id for one in entries],
    )  # fmt: skip


def shape(exam: Exam, stable: bool) -> list[Finding]:
    """Judge each map of the cornea by its worst sign."""
    entries = exam.this.readings[MAP]
    signs: list[str] = []
    for one in entries:
        signs += [sign for sign in signs_of(exam, one) if sign not in signs]
    if not signs:
        return []
    return weighed(
        stable, "D09.shape", "Cornea may be giving way",
        capital(", ".join(signs)) + ". An unstable cornea goes on changing under any lens.",
        "Map it again after a year; a corneal specialist decides first.",
        [one.id for one in entries],
    )  # fmt: skip


def signs_of(exam: Exam, entry: Entry) -> list[str]:
    """Return in words what speaks against one map of the cornea."""
    body, limits, found = entry.body, exam.limits, []
    if body["kmax_cD"] > limits["kmax_stop_above_cD"]:
        most = size_in_dioptres(limits["kmax_stop_above_cD"])
        found.append("Kmax " + size_in_dioptres(body["kmax_cD"]) + " (above " + most + ")")
    if body["is_cD"] is not None and body["is_cD"] > limits["inferior_superior_stop_cD"]:
        most = dioptres(limits["inferior_superior_stop_cD"])
        found.append("I\u2212S " + dioptres(body["is_cD"]) + " (above " + most + ")")
    if body["map_grade"].isdigit() and int(body["map_grade"]) >= limits["tomography_grade_stop"]:
        found.append("grade " + body["map_grade"])
    if body["device_flag"] == "warning":
        found.append("a warning of the device")
    return found


def is_map_stable(exam: Exam) -> bool:
    """Return whether a map of the same device from a year ago had no lower Kmax to speak of.

    Two old maps say nothing about the time since: the newer one must not be old itself.
    """
    now = exam.this.readings[MAP]
    if not now:
        return False
    first = sorted(made(one) for one in now)[0]
    if days_from(first, exam.today) > exam.limits["old_biometry_days"]:
        return False
    devices = {device_of(one) for one in now}
    before = [
        one
        for one in exam.this.earlier
        if one.kind == MAP
        and {device_of(one)} == devices
        and days_from(made(one), first) >= exam.limits["stability_days"]
    ]
    if not before:
        return False
    highest_cD = max([one.body["kmax_cD"] for one in now])
    lowest_cD = min([one.body["kmax_cD"] for one in before])
    return bool(highest_cD - lowest_cD <= exam.limits["kmax_rise_cD"])
