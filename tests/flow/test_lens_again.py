"""A lens that comes back into its eye by the records, where another one lies that came late.

A base that failed over one of these would take nothing of the phone that hands it in, ever again.
"""

import pytest

from tests.flow.exchange_case import OLD_LENS, Case, removal
from tests.flow.surgeries import surgery
from tests.hospital import Hospital
from tests.ordered import lens_of
from webapp.store.projections import orders

OLDER = {"serial": "TI-0", "operated": "2026-09-01", "lens": OLD_LENS}


@pytest.fixture
def case(hospital: Hospital) -> Case:
    """Return an operated eye whose lens was taken out."""
    return Case(hospital)


def taken_out(case: Case) -> str:
    """Take the lens out; return the record of it."""
    return case.surgeon.keep("surgery.explanted", case.person, "R", removal(case.old))


def in_eye(case: Case) -> list[str]:
    """Return the lenses that lie in the eye, which contradict each other."""
    eye = case.eye()
    assert eye["state"] == "conflict"
    assert "E1.two_lenses" in {one["code"] for one in eye["findings"]}
    return [one["id"] for one in eye["surgeries"] if one["in_eye"]]


def test_a_withdrawn_removal_beside_a_lens_that_came_late(case: Case) -> None:
    """The older lens lies in the eye by the records; the two contradict, before and after."""
    out = taken_out(case)
    late = case.operate(**OLDER)
    assert in_eye(case) == [late]
    case.surgeon.keep("record.void", case.person, "R", {"target": out}, reason="It was never out")
    assert in_eye(case) == [late, case.old]


def test_a_withdrawn_removal_beside_two_others(case: Case) -> None:
    """A later lens lies in the eye too."""
    out = taken_out(case)
    new = case.operate(serial="TI-2", operated="2026-11-21")
    late = case.operate(**OLDER)
    case.surgeon.keep("record.void", case.person, "R", {"target": out}, reason="It was never out")
    assert in_eye(case) == [late, case.old, new]


def test_a_removal_that_was_of_the_older_lens(case: Case) -> None:
    """Its correction brings one lens back and takes another one out."""
    out = taken_out(case)
    new = case.operate(serial="TI-2", operated="2026-11-21")
    late = case.operate(**OLDER)
    case.surgeon.keep(
        "surgery.explanted", case.person, "R", removal(late, serial="TI-0"), replaces=out,
        reason="It was the other one",
    )  # fmt: skip
    assert in_eye(case) == [case.old, new]


def test_what_came_back_can_be_taken_out_again(case: Case) -> None:
    """And with the older one out before it, nothing contradicts any more."""
    out = taken_out(case)
    late = case.operate(**OLDER)
    case.surgeon.keep("record.void", case.person, "R", {"target": out}, reason="It was never out")
    gone = removal(late, operated="2026-10-01", serial="TI-0")
    case.surgeon.keep("surgery.explanted", case.person, "R", gone)
    assert case.eye()["state"] == "followed"
    taken_out(case)
    assert case.operate(**surgery(serial="TI-3", operated="2026-11-22"))


def test_two_withdrawals_at_once_leave_no_two_orders(case: Case) -> None:
    """Both were written without network: the second is judged by what the first one left (I2)."""
    made = case.decide()
    placed = case.place(made)
    body = case.exchange_body(order=placed, approval=made, lens=lens_of(placed))
    new = case.operate(**body)
    both = [
        case.surgeon.record("record.void", case.person, "R", {"target": one}, reason="Misread")
        for one in (new, case.old)
    ]
    first, second = case.surgeon.push(*both)
    assert (first.result, second.result) == ("stored", "refused")
    assert second.reason is not None
    assert second.reason.code == "order.twice"
    standing = [(one.order_id, one.used) for one in orders.of_case(case.person, "R") if one.live]
    assert standing == [(placed, 0), (case.first_order, 1)]
