"""The vault of day 1: asked for until one was read with the lens, and why it matters most (H32).

A lens that lies upside down or is far too long or too short shows in its vault first; another
reading of that day does not stand for it. So an eye is called for its vault too, whichever visits
it kept.
"""

from webapp.core.case.implants import Implant
from webapp.core.dates import date_after, day_words, days_from
from webapp.core.follow_up.schedule import LEAST_GRACE_D, Standing
from webapp.core.live import of_kind

DAY_D = 1
RELOADED = " The lens opened upside down and was reloaded: see which way up it lies as well."


def is_unread(implant: Implant) -> bool:
    """Return whether a lens lies in an eye without any vault read since."""
    return implant.explanted_on is None and not of_kind(implant.followups, "followup.vault")


def with_vault(now: Standing, implant: Implant, today_d: int) -> Standing:
    """Return how an eye stands when its vault is asked for as well as its visits.

    Args:
        now: how it stands with its visits.
        implant: the surgery with its readings.
        today_d: today, as a day since surgery [d].

    From day 1 on an unread vault is due, and overdue once that day's grace is over. It takes away
    nothing that presses as much: a missed visit brings the eye in, and the vault with it.
    """
    if not is_unread(implant) or today_d < DAY_D or now.state in ("lost", "overdue"):
        return now
    over_d = today_d - DAY_D - LEAST_GRACE_D
    if over_d > 0:
        return Standing("overdue", now.next, now.last_d, over_d)
    return Standing("due", now.next, now.last_d, 0)


def first_vault(implant: Implant, today: str) -> str:
    """Return the sentences that ask for the first vault of a lens; empty where none is due.

    Args:
        implant: the surgery with its readings.
        today: the date that it is judged on.
    """
    if not is_unread(implant):
        return ""
    body = implant.entry.body
    why = RELOADED if body["event"] == "reloaded" else ""
    on = day_words(date_after(body["operated"], DAY_D))
    if days_from(body["operated"], today) <= DAY_D:
        return " The vault has to be measured on day 1, " + on + "." + why
    return " No vault was measured yet; day 1 was " + on + ": measure it now." + why
