"""What came to be known of an eye after its lens was ordered, and what a surgeon answered to it.

The order stands at the supplier whatever arrives here; a lens of an order with something unanswered
is not released for surgery (hazard H23).
"""

from collections import namedtuple

from webapp.core.case.backup import in_use, pair_of
from webapp.core.case.decisions import Decisions, is_answered, live_orders
from webapp.core.case.settling import lens_key
from webapp.core.case.state import Judged, lens_of_approval
from webapp.core.describe_surgery import DECISIONS
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.trust import is_doubted

# items: what came late, each {"code", "text", "record"}. unanswered: those that no answer has seen.
# answers: those that count. standing: the answer in force, or None.
Late = namedtuple("Late", ("order", "items", "unanswered", "answers", "standing"))

# Reasons for which an approval falls after its order; a newer catalogue, a newer vault model or
# passing time is none. A model that was withdrawn is: its surgeon no longer stands by the length.
LATE = (
    "evidence.added", "evidence.removed", "person.joined", "withdrawn", "request", "settled",
    "key_suspect", "core_recalled", "fellow.surprise", "vault_model_withdrawn", "taken_out",
)  # fmt: skip


def late(exam: Exam, made: Decisions, judged: list[Judged]) -> Late | None:
    """Return what came after the order that stands; None without one.

    An answer is about the order of the chosen lens; what differs, about the lens to be implanted.

    Args:
        exam: the eye as it stands.
        made: the decisions on it.
        judged: every approval of the eye with the reasons for which it does not stand.
    """
    orders = live_orders(made)
    if not orders:
        return None
    order, pair = orders[0], pair_of(exam, made)
    items = items_of(made, judged, order if pair is None else in_use(pair))
    answers = [one for one in made.late_answers if may_answer(exam, one, order)]
    ended = [one for one in answers if one.body["answer"] != "keep"]
    seen = {name for one in answers for name in one.body["seen"]}
    unanswered = [] if ended else [one for one in items if one["record"] not in seen]
    # Among answers that differ the one that cancels counts: nothing is implanted on a doubt.
    standing = (ended or answers or [None])[-1]
    return Late(order, items, unanswered, answers, standing)


def may_answer(exam: Exam, answer: Entry, order: Entry) -> bool:
    """Return whether an answer is about this order, and keeps it against nobody's own record.

    Signed by a key that may have been in other hands it keeps nothing; it cancels all the same.
    """
    if answer.body["order"] != order.id:
        return False
    if answer.body["answer"] != "keep":
        return True
    if is_doubted(exam.reference.revoked_keys, answer):
        return False
    records = exam.standing.live + [one for one, _ in exam.standing.withdrawn]
    own = [one for one in records if one.author == answer.author]
    seen = answer.body["seen"]
    return all(one.id not in seen for one in own)


def items_of(made: Decisions, judged: list[Judged], order: Entry) -> list[dict[str, str]]:
    """Return what came late, each once, by code and record."""
    found = []
    for one in judged:
        if one.entry.id == order.body["approval"]:
            found += [why for why in one.reasons if why["code"] in LATE and "record" in why]
            found += against(made, one.entry, order)
        elif not one.reasons and one.entry.id not in made.used and differs(one.entry, order):
            found.append(item("approved", other_decision(one.entry), one.entry))
    return sorted(found, key=lambda one: (one["code"], one["record"]))


def other_decision(decision: Entry) -> str:
    """Return the sentence for a decision that stands beside that of the order."""
    if decision.body["shown"]["lens"] is None:
        return "It was decided too: " + DECISIONS[decision.body["decision"]] + "."
    return "Another lens was approved too: " + lens_of_approval(decision) + "."


def against(made: Decisions, approval: Entry, order: Entry) -> list[dict[str, str]]:
    """Return what was said about the request of an ordered approval and speaks against it."""
    request = approval.body.get("request")  # A decision about a lens in the eye answers none.
    asked = [one for one in made.questions if one.body["request"] == request]
    return [
        item("declined", "The eye was declined too: " + one.body["text"], one)
        for one in made.declines
        if one.body["request"] == request
    ] + [
        item("question", "A question is open: " + one.body["text"], one)
        for one in asked
        if not is_answered(made, one)
    ]


def differs(approval: Entry, order: Entry) -> bool:
    """Return whether an approval names another lens than was ordered."""
    lens = approval.body["shown"]["lens"]
    return lens is None or lens_key(lens) != lens_key(order.body["lens"])


def item(code: str, text: str, record: Entry) -> dict[str, str]:
    """Return one thing that came late."""
    return {"code": code, "text": text, "record": record.id}


def blocks(found: Late | None) -> bool:
    """Return whether the lens of the order must not be released for surgery."""
    if found is None:
        return False
    cancels = found.standing is not None and found.standing.body["answer"] != "keep"
    return cancels or bool(found.unanswered)


def next_step(found: Late) -> str:
    """Return what has to happen now: a surgeon's answer, a cancellation, or nothing."""
    if found.unanswered:
        return "answer"
    standing = found.standing
    if standing is not None and standing.body["answer"] != "keep":
        return str(standing.body["answer"])
    return "none"
