"""What is known of the theatre of an eye: its day on a list, the checks, and whether to begin.

A check counts for the box that is released now, and only with a second person's own confirmation. A
lens that was stopped in theatre is no longer released: a new check of its box has to name that, so
the answer is the same in any order of arrival. What a key signed while it may have been in other
hands stops a lens, and lets none go on.
"""

from collections import namedtuple

from webapp.core.case.backup import Pair, orders_of
from webapp.core.case.boxes import Boxes, of_order
from webapp.core.case.state import State
from webapp.core.dates import day_words
from webapp.core.entry import Entry, in_display_order
from webapp.core.exam import Exam
from webapp.core.finding import Finding, fixed_stop
from webapp.core.lens_words import lens_of
from webapp.core.live import of_kind
from webapp.core.trust import is_doubted

LISTED, CHECKED, CONFIRMED = "theatre.listed", "theatre.checked", "theatre.confirmed"

# listed: the record that puts the eye on a day's list, or None. checks: all of the order that
# stands. check: the one that counts, confirmed: its second person; or None.
Theatre = namedtuple("Theatre", ("listed", "checks", "check", "confirmed"))


def theatre(exam: Exam, pair: Pair, order: Entry, verified: Entry | None) -> Theatre:
    """Return what happened in theatre with the lens of an order.

    An eye stays on its list when the back-up lens is released.

    Args:
        exam: the eye.
        pair: the order that stands with that of its back-up lens.
        order: the one whose lens is to be implanted.
        verified: the check of the box by which the lens may go to theatre, or None.
    """
    lists = [of_order(exam, LISTED, one) for one in orders_of(pair)]
    listed = in_display_order([one for found in lists for one in found])
    checks = of_order(exam, CHECKED, order)
    name = None if verified is None else verified.id
    right = [
        one
        for one in checks
        if one.body["outcome"] == "agrees"
        and one.body["label"] == name
        and not is_doubted(exam.reference.revoked_keys, one)
    ]
    pairs = [(one, confirmation(exam, order, one)) for one in right]
    both = [pair for pair in pairs if pair[1] is not None]
    newest = (both or pairs)[-1:]
    check, confirmed = newest[0] if newest else (None, None)
    return Theatre(listed[-1] if listed else None, checks, check, confirmed)


def confirmation(exam: Exam, order: Entry, check: Entry) -> Entry | None:
    """Return a second person's confirmation of a check, by a key of their own; None without one."""
    is_toric = lens_of(order.body["lens"]).axis_deg is not None
    found = [
        one
        for one in of_kind(exam.standing.live, CONFIRMED, check.eye)
        if one.body["check"] == check.id
        and one.author != check.author
        and one.key != check.key
        and (one.body["axis_said"] == 1) == is_toric
        and not is_doubted(exam.reference.revoked_keys, one)
    ]
    return in_display_order(found)[-1] if found else None


def stop_findings(found: Boxes | None) -> list[Finding]:
    """Return the stop of a lens that was stopped in theatre and not checked again since."""
    if found is None:
        return []
    return [
        fixed_stop(
            "theatre.stopped", "theatre", "Stopped in theatre", stopped_words(one),
            "Do not implant it. The desk checks the box again before it may go back.", [one.id],
        )
        for one in found.stopped
    ]  # fmt: skip


def stopped_words(check: Entry) -> str:
    """Return why a lens was stopped in theatre."""
    body = check.body
    if body["outcome"] == "differs":
        return "The box in theatre was not the one that was released for this eye."
    return "Not implanted: " + WHY[body["why"]] + ". " + str(body["note"])


WHY = {
    "person": "the person or the eye is in doubt",
    "lens": "the lens or its box is damaged or not sterile",
    "turned": "the lens came out upside down",
    "decided": "decided not to operate now",
    "other": "something else",
}


def theatre_json(
    exam: Exam, pair: Pair | None, found: Boxes | None, now: State
) -> dict[str, object] | None:
    """Return what is known of theatre as it crosses the door; None where no order stands."""
    if found is None or pair is None:
        return None
    known = theatre(exam, pair, found.order, found.verified)
    ready = now.name == "verified"
    verified = found.verified if ready else None
    return {
        "order": found.order.id,
        "listed": None if known.listed is None else listed_json(known.listed),
        "label": None if verified is None else verified.id,
        "check": None if known.check is None or not ready else check_json(known.check),
        "confirmed": None if known.confirmed is None or not ready else stamp(known.confirmed),
        "checks": [check_json(one) for one in known.checks],
        "stopped": [one.id for one in found.stopped],
        "ready": 1 if ready else 0,
        "text": words(known, now),
    }


def words(known: Theatre, now: State) -> str:
    """Return in a sentence whether to begin, and if not, why."""
    if now.name != "verified":
        return "Not ready. " + str(now.why)
    if known.check is None:
        return "Ready for the check in theatre."
    day = day_words(known.check.wall)
    if known.confirmed is None:
        return "Checked in theatre " + day + "; a second person has not confirmed it yet."
    return "Checked in theatre by two people, " + day + "."


def stamp(entry: Entry) -> dict[str, object]:
    """Return who made a record, and when."""
    return {"id": entry.id, "author": entry.author, "wall": entry.wall}


def listed_json(listed: Entry) -> dict[str, object]:
    """Return the day of a list and who put the eye on it."""
    answer = stamp(listed)
    for name in ("order", "operate_on", "place"):
        answer[name] = listed.body[name]
    return answer


def check_json(check: Entry) -> dict[str, object]:
    """Return one check in theatre: who, when, and how it came out."""
    answer = stamp(check)
    for name in ("label", "outcome", "why", "note", "incision_meridian_deg", "device_day"):
        answer[name] = check.body[name]
    return answer
