"""What surgeon and desk decided about one eye, put together by what each record names.

Nothing here looks at a clock: a question belongs to the request it names, an order to its approval,
a cancellation to its order, a settlement to the decisions it ends.
"""

from collections import namedtuple

from webapp.core.case.settling import set_aside, settlements
from webapp.core.entry import Entry, in_display_order
from webapp.core.exam import Exam
from webapp.core.live import of_kind

# All lists hold live records of one eye. taken_back: approvals that their surgeon withdrew.
# open: requests that wait for a decision. spent: approvals (ids) whose order was cancelled.
# settlements: contradictions ended by a third person. set_aside: id of a decision that a settlement
# did not keep -> that settlement; declines are only those that were not set aside.
# late_answers: what surgeons answered to records that came after an order.
# at_supplier: reference, confirmation, shipping and arrival of its orders.
# exchanges: what surgeons decided about a lens in the eye; taken_back holds those of them too.
# asks: requests that an exchange of the lens in the eye be weighed.
# used: ids of orders whose lens was implanted, and of the approvals that those surgeries were of.
# orders: of chosen lenses; backups: of back-up lenses, each with the chosen one's order; releases:
# what surgeons said of a chosen lens that is not implanted.
Decisions = namedtuple(
    "Decisions",
    (
        "requests", "open", "questions", "answers", "declines", "approvals", "taken_back",
        "orders", "cancellations", "spent", "settlements", "set_aside", "late_answers",
        "at_supplier", "exchanges", "asks", "used", "backups", "releases",
    ),
)  # fmt: skip

# What an order may be placed from.
ORDERED_FROM = ("plan.approval", "exchange.decided")
AT_SUPPLIER = ("order.referenced", "order.confirmed", "order.shipped", "order.received")


def decisions(exam: Exam) -> Decisions:
    """Return the decisions on the eye of an examination."""
    eye, live = exam.this.eye, exam.standing.live

    def by_surgeon(kind: str) -> list[Entry]:
        return [one for one in of_kind(live, kind, eye) if one.role == "surgeon"]

    requests = in_display_order(of_kind(live, "plan.request", eye))
    approvals = in_display_order(of_kind(live, "plan.approval", eye))
    taken_back = [
        one for one, _ in exam.standing.withdrawn if one.kind in ORDERED_FROM and one.eye == eye
    ]
    settled = settlements(exam)
    aside = set_aside(settled)
    declines = [one for one in in_display_order(by_surgeon("plan.decline")) if one.id not in aside]
    placed = in_display_order(of_kind(live, "order.placed", eye))
    backups = [one for one in placed if one.body.get("backup_of") is not None]
    orders = [one for one in placed if one not in backups]
    cancellations = of_kind(live, "order.cancelled", eye)
    ended = {one.body["order"] for one in cancellations}
    ordered_from = {order.body["approval"] for order in orders}
    closed = {one.body["request"] for one in declines} | {
        one.body["request"]
        for one in approvals + taken_back
        if one.id in ordered_from and one.kind == "plan.approval"
    }
    return Decisions(
        requests,
        [one for one in requests if one.id not in closed],
        in_display_order(by_surgeon("plan.question")),
        of_kind(live, "plan.answer", eye),
        declines,
        approvals,
        in_display_order(taken_back),
        orders,
        cancellations,
        {order.body["approval"] for order in orders if order.id in ended},
        settled,
        aside,
        in_display_order(by_surgeon("late.answered")),
        in_display_order([one for one in live if one.eye == eye and one.kind in AT_SUPPLIER]),
        in_display_order(of_kind(live, "exchange.decided", eye)),
        in_display_order(of_kind(live, "exchange.asked", eye)),
        used_by_surgeries(placed, of_kind(live, "surgery.implanted", eye)),
        backups,
        in_display_order(by_surgeon("backup.released")),
    )


def used_by_surgeries(orders: list[Entry], surgeries: list[Entry]) -> set[str]:
    """Return the orders whose lens a standing surgery implanted, and the approvals of these.

    An order and that of its back-up lens are done with together.
    """
    named = {one.body["order"] for one in surgeries} | {one.body["approval"] for one in surgeries}
    pairs = [(one.id, one.body["backup_of"]) for one in orders if one.body.get("backup_of")]
    for backup, chosen in pairs:
        if backup in named or chosen in named:
            named |= {backup, chosen}
    named |= {order.body["approval"] for order in orders if order.id in named}
    return {one for one in named if one is not None}


def is_cancelled(made: Decisions, order: Entry) -> bool:
    """Return whether an order was cancelled; a back-up falls with the order that it is for."""
    ends = (order.id, order.body.get("backup_of"))
    return any(one.body["order"] in ends for one in made.cancellations)


def live_orders(made: Decisions) -> list[Entry]:
    """Return the orders that stand: neither cancelled nor done with, since their lens is used."""
    return [one for one in made.orders if one.id not in made.used and not is_cancelled(made, one)]


def is_answered(made: Decisions, question: Entry) -> bool:
    """Return whether a question has an answer, or its own asker went on to approve the request."""
    if any(one.body["question"] == question.id for one in made.answers):
        return True
    # Within one key the counter is an order that no clock can disturb.
    return any(
        one.body["request"] == question.body["request"]
        and one.author == question.author
        and one.key == question.key
        and one.seq > question.seq
        for one in made.approvals
    )


def open_questions(made: Decisions) -> list[Entry]:
    """Return the questions on open requests that nobody has answered."""
    waiting = {one.id for one in made.open}
    return [
        one
        for one in made.questions
        if one.body["request"] in waiting and not is_answered(made, one)
    ]
