"""What is said of a surgery beside its order, its boxes and its check in theatre (invariant I21).

What was done is recorded as it was done. Where no check in theatre stands behind the implanted
lens, or it was not the one to be implanted, that is said from then on, to everybody who looks.
"""

from webapp.core.box.theatre import key_of
from webapp.core.case.backup import KIND as RELEASED
from webapp.core.case.backup import releases
from webapp.core.case.boxes import KIND
from webapp.core.case.implants import Implant, implants, order_named
from webapp.core.case.late import may_answer
from webapp.core.case.surgery_check import doubts_about, misfit
from webapp.core.dates import days_from
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution, fixed_stop
from webapp.core.live import evidence, of_kind


def unchecked(exam: Exam) -> list[Finding]:
    """Return what is to be said of every surgery of an eye, of lenses taken out since too."""
    told = []
    for implant in implants(exam.standing, exam.this.eye):
        labels = agreed_for(exam, implant)
        if labels:
            told += other_lens(implant.entry, labels) + no_check(exam, implant.entry)
            told += after_stop(exam, implant.entry, labels)
        told += other_of_two(exam, implant.entry)
        told += not_to_be(exam, implant.entry)
        told += unanswered(exam, implant.entry)
    return told


def other_of_two(exam: Exam, surgery: Entry) -> list[Finding]:
    """Of an order and its back-up the one was implanted that no surgeon's record released."""
    live = exam.standing.live
    order = order_named(exam.standing, surgery)
    if order is None:
        return []
    said = [one for one in of_kind(live, RELEASED, exam.this.eye) if one.role == "surgeon"]
    if order.body.get("backup_of") is None:
        against = [one for one in said if one.body["instead_of"] == order.id]
        if not against:
            return []
        text = "A surgeon’s record had released the back-up lens instead of this one."
    else:
        if any([releases(exam, one, order) for one in said]):
            return []
        against = []
        text = "No surgeon’s record released the back-up lens instead of the chosen one."
    return [caution(
        "backup.other_implanted", "theatre", "The other one of two lenses was implanted", text,
        "Find out which lens lies in this eye and why; tell the surgeon who approved it.",
        [surgery.id] + sorted([one.id for one in against]),
    )]  # fmt: skip


def order_of(exam: Exam, surgery: Entry) -> Entry | None:
    """Return the order that a surgery names; where it names none, that of its lens's own box.

    So leaving the order out hides nothing of what was said of it. None where neither is known.
    """
    if surgery.body["order"] is not None or surgery.body["serial"] is None:
        return order_named(exam.standing, surgery)
    serial = key_of(surgery.body["serial"])
    boxes = [
        one.body["order"]
        for one in of_kind(exam.standing.live, KIND, surgery.eye)
        if one.body["outcome"] == "agrees" and key_of(one.body["first"]["serial"]) == serial
    ]
    placed = of_kind(exam.standing.live, "order.placed", surgery.eye)
    found = [one for one in placed if one.id in boxes]
    return found[0] if found else None


def agreed_for(exam: Exam, implant: Implant) -> list[Entry]:
    """Return the checks of boxes that agreed for the order that a surgery names.

    Whether such a box was still released when it was implanted is for the findings to say. A
    surgery that names no order is held against the boxes that were there by its day, but for those
    whose order another surgery of the eye names.
    """
    body = implant.entry.body
    agreed = [
        one
        for one in of_kind(exam.standing.live, KIND, exam.this.eye)
        if one.body["outcome"] == "agrees"
    ]
    if body["order"] is not None:
        return [one for one in agreed if one.body["order"] == body["order"]]
    others = of_kind(exam.standing.live, "surgery.implanted", exam.this.eye)
    used = [one.body["order"] for one in others]
    return [
        one
        for one in agreed
        if days_from(one.wall, body["operated"]) >= 0 and one.body["order"] not in used
    ]


def other_lens(surgery: Entry, labels: list[Entry]) -> list[Finding]:
    """A lens is recorded as implanted whose serial number is that of no released box."""
    serial = surgery.body["serial"]
    released = sorted({str(one.body["first"]["serial"]) for one in labels})
    if serial is None or key_of(serial) in [key_of(one) for one in released]:
        return []
    return [fixed_stop(
        "theatre.other_lens", "theatre", "Another lens than was released",
        "Serial number " + str(serial) + " is recorded as implanted; the box released for this eye"
        " was " + " / ".join(released) + ".",
        "Find out which lens lies in this eye, and for whom it was. Correct the record if it is"
        " misread.", [surgery.id],
    )]  # fmt: skip


def no_check(exam: Exam, surgery: Entry) -> list[Finding]:
    """A lens was implanted without a check in theatre that two people stand by."""
    problem = misfit(exam, surgery)
    if problem is None:
        return []
    return [caution(
        "theatre.unchecked", "theatre", "Implanted without a check in theatre", problem.text,
        "Hold the label on the person\u2019s card against the order now, and record why.",
        [surgery.id],
    )]  # fmt: skip


def after_stop(exam: Exam, surgery: Entry, labels: list[Entry]) -> list[Finding]:
    """A lens was implanted although it had been stopped, or its box had not agreed, unanswered.

    The order is used up by the surgery, and with it the stop that stood on it: it is said here.
    """
    seen = [name for one in labels for name in one.body["seen"]]
    orders = [one.body["order"] for one in labels]
    open_doubts = [one for one in doubts_about(exam, orders) if one.id not in seen]
    if not open_doubts:
        return []
    return [caution(
        "theatre.after_stop", "theatre", "Implanted although it had been stopped",
        "The lens of this order had been stopped in theatre, or a box of it had not agreed, and"
        " no check of its box answered that.",
        "Find out which lens lies in this eye and why it was implanted; tell the surgeon.",
        [surgery.id] + sorted([one.id for one in open_doubts]),
    )]  # fmt: skip


def not_to_be(exam: Exam, surgery: Entry) -> list[Finding]:
    """A lens was implanted whose order was cancelled, or that a surgeon had decided against.

    A tablet without the network cannot have heard of it. The surgery uses the order up, and with it
    what was said of it: so it is said here.
    """
    order = order_of(exam, surgery)
    if order is None:
        return []
    both = (order.id, order.body.get("backup_of"))
    # Taken back only after surgery, an answer against it was one all the same.
    day = surgery.body["operated"]
    gone = [one for one, by in exam.standing.withdrawn if days_from(day, by.wall) > 0]
    against = [
        one
        for kind in ("order.cancelled", "late.answered")
        for one in of_kind(exam.standing.live + gone, kind, surgery.eye)
        if one.body["order"] in both and says_no(one)
    ]
    if not against:
        return []
    return [caution(
        "theatre.not_to_be", "theatre", "Implanted although it was not to be",
        "Its order was cancelled, or a surgeon had answered that this lens is not implanted.",
        "Find out which lens lies in this eye and why it was implanted; tell the surgeon, and the"
        " supplier what became of it.",
        [surgery.id] + sorted([one.id for one in against]),
    )]  # fmt: skip


def unanswered(exam: Exam, surgery: Entry) -> list[Finding]:
    """A lens was implanted while something recorded after its order waited for a surgeon (H23)."""
    live, order = exam.standing.live, order_named(exam.standing, surgery)
    known = {one.id: one for one in live + [gone for gone, _ in exam.standing.withdrawn]}
    decision = None if order is None else known.get(order.body["approval"])
    if order is None or decision is None:
        return []
    chosen = known.get(order.body.get("backup_of") or order.id, order)
    seen = {
        name
        for one in of_kind(live, "late.answered", surgery.eye)
        if one.role == "surgeon" and may_answer(exam, one, chosen)
        for name in one.body["seen"]
    }
    shown = decision.body["shown"]["evidence"]
    # Corrected after surgery, a reading is not one that somebody should have waited for.
    late = [
        name
        for name in evidence(live, surgery.eye)
        if name not in shown and name not in seen
        and days_from(surgery.body["operated"], known[name].wall) <= 0
    ]  # fmt: skip
    if not late:
        return []
    return [caution(
        "theatre.unanswered", "theatre", "Implanted while something was unanswered",
        "Something was recorded for this eye after the order, by the day of surgery, and no surgeon"
        " had answered it.",
        "Look at it now, beside the plan that the lens was chosen by; tell the surgeon.",
        [surgery.id] + late,
    )]  # fmt: skip


def says_no(record: Entry) -> bool:
    """Return whether a cancellation, or a surgeon's answer, says that a lens is not implanted."""
    if record.kind == "order.cancelled":
        return True
    return bool(record.role == "surgeon" and record.body["answer"] != "keep")
