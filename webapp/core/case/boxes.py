"""The boxes that were held against an order of an eye, and whether one of them is its lens.

Boxes of both the chosen and the back-up lens may be checked; which of the two may go to theatre is
for ``backup`` to say. A box is verified by a check that agrees and has seen every check of this
order that differed before it, so that the answer is the same in any order of arrival, and a doubt
that comes up later takes the release away again.
"""

from collections import namedtuple

from webapp.core.box.theatre import key_of
from webapp.core.case.backup import Pair, in_use, may_be_released
from webapp.core.case.decisions import Decisions
from webapp.core.case.late import Late, blocks
from webapp.core.case.state import State
from webapp.core.case.supplier import progress
from webapp.core.entry import Entry, in_display_order
from webapp.core.exam import Exam
from webapp.core.finding import Finding, fixed_stop
from webapp.core.live import of_kind

KIND, IN_THEATRE = "label.checked", "theatre.checked"

# order: one that stands. checks: of it, oldest first. unseen: those that differed and that no
# agreeing check has seen. ended: ids of checks in theatre that did not agree, or ended without a
# lens implanted; stopped: those of them that no agreeing check of the box has seen.
# verified: the check by which the lens may go to theatre, or None.
Boxes = namedtuple("Boxes", ("order", "checks", "ended", "unseen", "stopped", "verified"))


def boxes(exam: Exam, made: Decisions, late: Late | None, pair: Pair | None) -> Boxes | None:
    """Return the checks of the lens to be implanted; None without an order, or where two stand."""
    return None if pair is None else boxes_of(exam, made, late, pair, in_use(pair))


def boxes_of(exam: Exam, made: Decisions, late: Late | None, pair: Pair, order: Entry) -> Boxes:
    """Return the checks of one of the two orders of an eye.

    Args:
        exam: the eye.
        made: the decisions on it.
        late: what came after its order.
        pair: the order that stands with that of its back-up lens.
        order: one of the two.
    """
    checks = of_order(exam, KIND, order)
    differed = [one for one in checks if one.body["outcome"] != "agrees"]
    ended = [one for one in of_order(exam, IN_THEATRE, order) if one.body["outcome"] != "agrees"]
    agreed = [one for one in checks if one.body["outcome"] == "agrees"]
    doubts = differed + ended
    whole = [one for one in agreed if all(each.id in one.body["seen"] for each in doubts)]
    seen = {name for one in agreed for name in one.body["seen"]}
    unseen = [one for one in differed if one.id not in seen]
    stopped = [one for one in ended if one.id not in seen]
    confirmed_otherwise = progress(made, order).differing
    released = len(lenses(agreed)) == 1 and not blocks(late) and not confirmed_otherwise
    verified = whole[-1] if whole and released and may_be_released(pair, order) else None
    return Boxes(order, checks, [one.id for one in ended], unseen, stopped, verified)


def of_order(exam: Exam, kind: str, order: Entry) -> list[Entry]:
    """Return the live records of a kind about an order, as they are shown."""
    found = of_kind(exam.standing.live, kind, exam.this.eye)
    return in_display_order([one for one in found if one.body["order"] == order.id])


def lenses(agreed: list[Entry]) -> set[str]:
    """Return the serial numbers that checks of one order agreed on; two are one too many."""
    return {key_of(one.body["first"]["serial"]) for one in agreed}


def state_with(found: Boxes | None, now: State) -> State:
    """Return the state of an eye once its box is looked at; only a lens that arrived is verified.

    So one whose supplier confirmed something else is not, whatever its box says.
    """
    if found is None or found.verified is None or now.name != "received":
        return now
    label = found.verified.body["first"]
    return State("verified", "The box is right: serial number " + str(label["serial"]) + ".")


def box_findings(found: Boxes | None) -> list[Finding]:
    """Return the stop of a box that is not the ordered lens, or of two boxes for one order."""
    if found is None:
        return []
    told = []
    if found.unseen:
        told.append(fixed_stop(
            "box.differs", "box", "A box did not agree with the order",
            "What was read off a box that came for this order is not what was ordered, or could"
            " not be trusted.",
            "Do not implant it. Check the right box, or ask the supplier.",
            [one.id for one in found.unseen],
        ))  # fmt: skip
    agreed = [one for one in found.checks if one.body["outcome"] == "agrees"]
    if len(lenses(agreed)) > 1:
        told.append(fixed_stop(
            "box.two_lenses", "box", "Two lenses for one order",
            "Boxes with different serial numbers agreed with this one order.",
            "Cancel the order, or find out which of them it is.", [one.id for one in agreed],
        ))  # fmt: skip
    return told


def doubts_of(found: Boxes) -> list[str]:
    """Return what the next check of a box must name: what differed, and what theatre stopped."""
    differed = [one.id for one in found.checks if one.body["outcome"] != "agrees"]
    return sorted(differed + found.ended)


def boxes_json(found: Boxes | None) -> dict[str, object] | None:
    """Return the checks as they cross the door; None where no order stands."""
    if found is None:
        return None
    return {
        "checks": [check_json(one) for one in found.checks],
        "unseen": [one.id for one in found.unseen],
        "doubts": doubts_of(found),
        "verified": None if found.verified is None else found.verified.id,
    }


def check_json(check: Entry) -> dict[str, object]:
    """Return one check: who read what, when, and how it came out."""
    body = check.body
    return {
        "id": check.id,
        "outcome": body["outcome"],
        "author": check.author,
        "second_person": body["second_person"],
        "wall": check.wall,
        "lot": body["first"]["lot"],
        "serial": body["first"]["serial"],
        "expiry_date": body["first"]["expiry_date"],
    }
