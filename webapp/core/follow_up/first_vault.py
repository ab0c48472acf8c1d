"""The vault of day 1: asked for until one was read with the lens, and why it matters most (H32).

A lens that lies upside down or is far too long or too short shows in its vault first; another
reading of that day does not stand for it.
"""

from webapp.core.case.implants import Implant
from webapp.core.dates import date_after, day_words, days_from
from webapp.core.live import of_kind

DAY_D = 1
RELOADED = " The lens opened upside down and was reloaded: see which way up it lies as well."


def first_vault(implant: Implant, today: str) -> str:
    """Return the sentences that ask for the first vault of a lens; empty where none is due.

    Args:
        implant: the surgery with its readings.
        today: the date that it is judged on.
    """
    if implant.explanted_on is not None or of_kind(implant.followups, "followup.vault"):
        return ""
    body = implant.entry.body
    why = RELOADED if body["event"] == "reloaded" else ""
    on = day_words(date_after(body["operated"], DAY_D))
    if days_from(body["operated"], today) <= DAY_D:
        return " The vault has to be measured on day 1, " + on + "." + why
    return " No vault was measured yet; day 1 was " + on + ": measure it now." + why
