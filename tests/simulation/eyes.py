"""The promises about the eyes that a history is about: one order, late readings, the same fold."""

from collections import Counter
from typing import TYPE_CHECKING, Any

from tests.simulation import base, clinic, desk, oracle, remembered, stories
from webapp.store import journal
from webapp.store.projections import orders

if TYPE_CHECKING:
    from tests.simulation.history import History


def order(history: "History", person: str) -> None:
    """Let the desk try to order, and hold what it did against the promises."""
    for approval in oracle.approvals(person):
        before = oracle.Case(person, clinic.EYE)
        answer = desk.place_order(person, clinic.EYE, approval)
        history.note("order", answer)
        if len(answer) == 64:
            known = answer in before.orders
            history.count("orders_again" if known else "orders")
            history.count("orders_settled", int(bool(before.set_aside())))
            history.count("orders_joined", int(len(before.people) > 1))
            for broken in [] if known else before.why_not(approval, answer, history.revoked):
                history.fail(broken)
            history.made.add(answer)
        else:
            history.count(f"refused:{answer}")


def of_orders(history: "History", person: str) -> None:
    """I2, H23: at most one live order, listed as the log says; what came after it is answered."""
    case = oracle.Case(person, clinic.EYE)
    live = case.live_orders()
    if len(live) > 1:
        history.fail("I2 two live orders for one eye")
    rows = orders.of_people(case.people, case.eye)
    listed = {row.order_id: int(row.live and not row.used) for row in rows}
    if listed != {one: int(one in live) for one in case.orders}:
        history.fail("the list of orders is not that of the log")
    history.count("settled", len(case.of("decision.settled")))
    history.count("late_answered", len(case.of("late.answered")))
    for order in live:
        _late(history, case, order)


def _late(history: "History", case: oracle.Case, order: str) -> None:
    """H23: a lens is not released while a reading that came after its order is unanswered."""
    late = case.unanswered(order)
    history.count("late_open", int(bool(late)))
    if late and not base.fold(stored(case.people))["eyes"][clinic.EYE]["late"]["blocks"]:
        history.fail("H23 a lens is released although a late reading is unanswered")


def stored(people: list[str]) -> list[tuple[str, dict[str, Any], int | None]]:
    """Return the stored records of some registrations, as ``base.fold`` takes them."""
    entries = [one for person in people for one in journal.entries_of_person(person)]
    return [(entry.id, remembered.payload_of(entry.payload), entry.n) for entry in entries]


def of_folds(history: "History") -> None:
    """S7, I5, I6: phones and base that hold the same see the same, whatever the order."""
    if history.rng.random() > 0.25:
        return
    person = history.people[0]
    phone = history.phones[stories.HOLDS_ALL[history.plan.story]]
    if any(name in phone.store.outbox for name in phone.store.records):
        return
    people = oracle.registrations(person)
    there = stored(people)
    here = [(row.id, row.payload, row.received) for row in phone.about(person)]
    history.count("joined_folds_compared", int(len(people) > 1))
    history.rng.shuffle(here)
    one, other = base.fold(there), base.fold([*here, *here[:3]])
    states = Counter(eye["state"] for eye in one["eyes"].values())
    history.reach.update({f"state:{state}": count for state, count in states.items()})
    history.count("folds_compared")
    if one != other:
        history.fail("S7 a phone and the base see different states in the same records")
