"""What an eye with a lens in it says, judged at its newest visit, and what to do next.

Bands of vault: literature range 250 to 750 um, outer ends common practice. These are prompts to
examine; a number alone is no reason to operate (80 eyes outside the window stayed well for five
years under observation, abstract read).
"""

from webapp.core.case.implants import (
    Implant,
    beside_another,
    days_after,
    implants,
    newest_visit,
)
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution, fixed_stop, stop
from webapp.core.measured import LIGHT_WORDS
from webapp.core.rules.after_surgery_changes import changed
from webapp.core.rules.beside_exchange import options
from webapp.core.wording import count_of, micrometres, pressure

FIRST = "The lens maker\u2019s instructions and local rules come first."


def findings(exam: Exam) -> list[Finding]:
    """Return what the newest readings of the lens in this eye call for; none without surgery."""
    found = implants(exam.standing, exam.this.eye)
    together = beside_another(found)
    if together:
        return [contradiction(together)]
    alerts = []
    for implant in [one for one in found if one.explanted_on is None]:
        alerts += vaults(exam, implant) + iop(exam, implant) + changed(exam, implant)
    return alerts


def contradiction(found: list[Implant]) -> Finding:
    """Two surgeries stand for one eye: nothing after them can be told apart safely."""
    return fixed_stop(
        "E1.two_lenses", "after_surgery", "Two surgeries on record",
        "By the records two lenses lie in this eye, or lay in it together: which readings belong to"
        " which cannot be told.",
        "Whoever recorded one in error withdraws it; a wrong day is corrected. If the older one had"
        " been taken out before, that is recorded; if the later one took its place, its record is"
        " corrected to say so.",
        [one.entry.id for one in found],
    )  # fmt: skip


def when(implant: Implant, reading: Entry) -> str:
    """Return how long after surgery a reading was taken: "35 days after surgery"."""
    days = days_after(implant.entry, reading)
    return count_of(days if days > 0 else 0, "day", "days") + " after surgery"


def vaults(exam: Exam, implant: Implant) -> list[Finding]:
    """E1, E4: the band of the newest vault, of several each once, and what can be done."""
    found: dict[str, Finding] = {}
    for one in newest_visit(implant, "followup.vault"):
        alert = vault_alert(exam, implant, one)
        if alert is not None:
            is_high = one.body["vault_um"] > exam.limits["window_high_um"]
            beside = options(implant, one, is_high)
            found[alert.code], found[beside.code] = alert, beside
    return [found[code] for code in sorted(found)]


def vault_alert(exam: Exam, implant: Implant, reading: Entry) -> Finding | None:
    """Return the alert of one vault, None inside the window."""
    limits, vault_um = exam.limits, reading.body["vault_um"]
    light = LIGHT_WORDS[reading.body["light"]]
    said = when(implant, reading) + " the vault is " + micrometres(vault_um) + " " + light
    aim = micrometres(limits["window_low_um"]) + " to " + micrometres(limits["window_high_um"])
    for is_so, make, code, title, why, do in (
        (vault_um < limits["vault_low_um"], stop, "E1.vault_touch", "Vault very low",
         "The lens may touch the natural lens and cloud it",
         "Look at the natural lens at the slit lamp today and tell the surgeon now."),
        (vault_um < limits["window_low_um"], caution, "E1.vault_low", "Vault low",
         "With an older design 8 of 26 such eyes got a cataract (abstract read); with a central"
         " opening the risk is held to be far lower",
         "Look at the front of the natural lens, and measure again at the next visit."),
        (vault_um > limits["vault_high_um"], stop, "E1.vault_very_high", "Vault very high",
         "The angle may close and the pressure rise",
         "Look at angle, pressure and pupil today and tell the surgeon now."),
        (vault_um > limits["window_high_um"], caution, "E1.vault_high", "Vault high",
         "The angle narrows as the vault rises",
         "Check angle, pressure and pupil at this visit, and measure again at the next."),
    ):  # fmt: skip
        if is_so:
            text = said + "; " + aim + " is aimed at. " + why + "."
            return make(code, "after_surgery", title, text, do + " " + FIRST, [reading.id])
    return None


def iop(exam: Exam, implant: Implant) -> list[Finding]:
    """E1: pressure above the limit; early on often from viscoelastic left behind or steroid."""
    limits = exam.limits
    for one in newest_visit(implant, "followup.pressure"):
        if one.body["iop_dmmHg"] > limits["pressure_caution_above_dmmHg"]:
            return [caution(
                "E1.pressure", "after_surgery", "Pressure high after surgery",
                when(implant, one) + " the pressure is " + pressure(one.body["iop_dmmHg"])
                + ", above " + pressure(limits["pressure_caution_above_dmmHg"])
                + ". Early on, viscoelastic or steroid drops are often the cause.",
                "Look at angle and vault today and tell the surgeon. " + FIRST, [one.id],
            )]  # fmt: skip
    return []
