"""When an order is late: past its day, never confirmed, or without a day for too long.

A reminder asks somebody to call the supplier and decides nothing; days are counted from the clock
of whoever placed the order.
"""

from webapp.core.case.backup import Pair, in_use
from webapp.core.case.decisions import Decisions
from webapp.core.case.supplier import expected_on, progress
from webapp.core.dates import day_words, days_from
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.wording import count_of

WAITING = ("placed", "confirmed", "shipped")
# States of an eye that still waits for its lens, and of one that may still wait for its back-up.
AWAITED = ("ordered", "confirmed")
BACKUP_AWAITED = ("ordered", "confirmed", "received", "verified")
ASK = (
    "Ask the supplier and record the answer: a confirmation, or the cancellation of this order."
    " Do not order again: this order stands."
)


def overdue(exam: Exam, made: Decisions, state: str, pair: Pair | None) -> dict[str, object] | None:
    """Return why an order of the eye is late and what to do; None while none is.

    The lens to be implanted goes first; the back-up of a chosen lens is asked after too.

    Args:
        exam: the eye with today's date and the limits.
        made: the decisions on it.
        state: of the eye, its surgery looked at.
        pair: the order that stands with that of its back-up lens, None without one.
    """
    for order, words in awaited(pair, state):
        found = why_late(exam, made, order)
        if found is not None:
            code, text = found
            return {"order": order.id, "code": code, "text": words + text, "do": ASK}
    return None


def awaited(pair: Pair | None, state: str) -> list[tuple[Entry, str]]:
    """Return the orders whose lens an eye in a state waits for, each with words to begin with."""
    if pair is None:
        return []
    found = [(in_use(pair), "")] if state in AWAITED else []
    if pair.backup is not None and pair.released is None and state in BACKUP_AWAITED:
        found.append((pair.backup, "The back-up lens: "))
    return found


def why_late(exam: Exam, made: Decisions, order: Entry) -> tuple[str, str] | None:
    """Return the code and the sentence of why one order is late, None while it is not."""
    found = progress(made, order)
    if found.stage not in WAITING:
        return None
    expected, placed_d = expected_on(found), days_from(order.wall, exam.today)
    if expected is not None:
        over_d = days_from(expected, exam.today)
        if over_d <= 0:
            return None
        late = "Expected " + day_words(expected) + ", " + days_ago(over_d) + ", and not here."
        return "expected", late
    if not found.standing and placed_d > exam.limits["order_confirm_days"]:
        return "unconfirmed", "Placed " + days_ago(placed_d) + " and not confirmed."
    if placed_d > exam.limits["order_arrive_days"]:
        return "undated", "Placed " + days_ago(placed_d) + ", no day is given for its arrival."
    return None


def days_ago(days: int) -> str:
    """Return a number of days in words, such as "3 days ago"."""
    return count_of(days, "day", "days") + " ago"
