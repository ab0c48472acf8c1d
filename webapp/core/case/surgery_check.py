"""The check in theatre that a surgery names, and whether it stands behind the surgery (I21)."""

from collections import namedtuple

from webapp.core.box.theatre import key_of
from webapp.core.case.boxes import IN_THEATRE, KIND
from webapp.core.case.implants import DAY_OF_ANOTHER_PLACE
from webapp.core.case.theatre import confirmation
from webapp.core.dates import days_from
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.live import of_kind
from webapp.core.trust import is_doubted

# field: of the surgery's record that contradicts its check; None where none does.
Misfit = namedtuple("Misfit", ("field", "text"))


def misfit(exam: Exam, surgery: Entry) -> Misfit | None:
    """Return why no check in theatre stands behind a surgery; None where one does."""
    named = surgery.body.get("theatre_check")
    if named is None:
        reason = surgery.body.get("unchecked_reason")
        return Misfit(None, "No reason was written." if reason is None else "Reason: " + reason)
    for check in of_kind(exam.standing.live, IN_THEATRE, surgery.eye):
        if check.id == named:
            return wrong_with(exam, surgery, check)
    return Misfit("theatre_check", "The check that it names is not here.")


def wrong_with(exam: Exam, surgery: Entry, check: Entry) -> Misfit | None:
    """Return in which point the check that a surgery names does not fit it; None in none."""
    live = {one.id: one for one in exam.standing.live}
    order, label = live.get(check.body["order"]), live.get(check.body["label"])
    if check.body["outcome"] != "agrees" or order is None or label is None:
        return Misfit("theatre_check", "The check that it names did not agree.")
    if surgery.body["order"] != order.id:
        return Misfit("order", "The check that it names was of another order.")
    serial = surgery.body["serial"]
    if serial is None or key_of(serial) != key_of(label.body["first"]["serial"]):
        return Misfit("serial", "The check that it names was of another serial number.")
    if not is_same_day(check, surgery.body["operated"]):
        return Misfit("operated", "The check that it names was made on another day.")
    return unsettled(exam, order, label, check)


def unsettled(exam: Exam, order: Entry, label: Entry, check: Entry) -> Misfit | None:
    """Return why a check that fits a surgery does not hold; None where it does.

    Two keys push in their own time, and a stop or a revocation may come after the surgery: so
    this is said of it and not refused.
    """
    if is_doubted(exam.reference.revoked_keys, check):
        return Misfit(None, "The check that it names was signed by a key in other hands.")
    seen = label.body["seen"]
    if any([one.id not in seen for one in doubts_about(exam, [order.id])]):
        return Misfit(None, "The check that it names had not seen that the lens was stopped.")
    if confirmation(exam, order, check) is None:
        return Misfit(None, "No second person confirmed the check that it names.")
    return None


def is_same_day(check: Entry, operated: str) -> bool:
    """Return whether a check was made on the day of surgery, by the calendar of the place."""
    own = check.body["device_day"]
    if own is not None and own != operated:
        return False
    return abs(days_from(check.wall, operated)) <= DAY_OF_ANOTHER_PLACE


def doubts_about(exam: Exam, orders: list[str]) -> list[Entry]:
    """Return the checks of boxes and in theatre, of some orders, that did not agree."""
    return [
        one
        for kind in (KIND, IN_THEATRE)
        for one in of_kind(exam.standing.live, kind, exam.this.eye)
        if one.body["order"] in orders and one.body["outcome"] != "agrees"
    ]


def unchecked_json(exam: Exam, surgery: Entry) -> dict[str, object] | None:
    """Return why no check in theatre stands behind a surgery, as it crosses the door."""
    found = misfit(exam, surgery)
    return None if found is None else {"field": found.field, "text": found.text}
