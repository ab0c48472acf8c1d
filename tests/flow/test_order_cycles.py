"""One live order for an eye across its cycles, with desks that press together (I2)."""

import threading
from collections.abc import Callable

import pytest

from tests.flow.exchange_case import Case as ExchangeCase
from tests.flow.test_order import Case
from tests.hospital import Hospital
from webapp.demo_people import PASSPHRASE
from webapp.flow import order
from webapp.flow.refusal import Refused
from webapp.store import database, journal
from webapp.store.projections import orders

ROUNDS = 3


def together(*acts: Callable[[], object]) -> list[object]:
    """Do each in a thread of its own at the same moment; return results, or codes of refusals."""
    barrier, results = threading.Barrier(len(acts)), [None] * len(acts)

    def do(place: int, act: Callable[[], object]) -> None:
        with database.connection():
            barrier.wait()
            try:
                results[place] = act()
            except Refused as refused:
                results[place] = refused.code

    threads = [threading.Thread(target=do, args=(at, act)) for at, act in enumerate(acts)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return results


def placed(person: str) -> list[str]:
    """Return every order record of a person."""
    return [one.id for one in journal.entries_of_person(person) if one.kind == "order.placed"]


def live(person: str) -> list[str]:
    """Return the orders of the right eye that stand and that no surgery has used."""
    return [one.order_id for one in orders.of_case(person, "R") if one.live and not one.used]


@pytest.fixture
def case(hospital: Hospital) -> Case:
    """Return an eye ready to be ordered."""
    return Case(hospital)


def test_after_a_cancelled_order_only_the_new_approval_orders(case: Case) -> None:
    """Two desks press the new one while a third still has the old page open."""
    old, first = case.approval, case.place()
    order.cancel(case.fenn, first, "Cannot be made", PASSPHRASE)
    request = case.camp.send_for_plan(case.person, "R")
    new = case.surgeon.approve(case.person, "R", request)
    results = together(
        lambda: case.place(approval=new),
        lambda: case.place(approval=old),
        lambda: case.place(approval=new),
    )
    assert results[0] == results[2] and results[0] in placed(case.person)
    assert isinstance(results[1], str) and results[1].startswith("order.")
    assert len(placed(case.person)) == 2
    assert live(case.person) == [results[0]]


@pytest.mark.parametrize("round_of", range(ROUNDS))
def test_cancelled_and_ordered_again_at_once(case: Case, round_of: int) -> None:
    """The old order's cancelling and a second press of its button: never two, never one revived."""
    del round_of
    first = case.place()
    results = together(
        lambda: order.cancel(case.fenn, first, "Cannot be made", PASSPHRASE),
        case.place,
        case.place,
    )
    assert results[0] is None
    assert placed(case.person) == [first]
    assert live(case.person) == []
    for answer in results[1:]:
        assert answer == first or str(answer).startswith("order.")


@pytest.mark.parametrize("round_of", range(ROUNDS))
def test_one_order_of_an_exchange(hospital: Hospital, round_of: int) -> None:
    """The first order is used up; the decision's and the first approval's are asked together."""
    del round_of
    case = ExchangeCase(hospital)
    made = case.decide()
    results = together(
        lambda: case.place(made),
        lambda: case.place(case.approval),
        lambda: case.place(made),
    )
    assert results[0] == results[2]
    assert live(case.person) == [results[0]]
    assert sorted(placed(case.person)) == sorted([case.first_order, str(results[0])])
    assert results[1] == case.first_order or str(results[1]).startswith("order.")
