"""The desk reads contradictions and answers after an order; it decides none of them."""

from tests.flow.test_contradictions import WIDTH, Ordered, TwoSurgeons
from tests.hospital import Hospital, width_body


def page_of(case: TwoSurgeons | Ordered) -> str:
    """Return the desk's page of the right eye."""
    client = case.hospital.client("fenn")
    return client.get(f"/desk/case/{case.person}/R").get_data(as_text=True)


def worklist(case: TwoSurgeons | Ordered) -> str:
    """Return the desk's worklist."""
    return case.hospital.client("fenn").get("/desk/").get_data(as_text=True)


def test_both_decisions_stand_side_by_side(hospital: Hospital) -> None:
    """With both lengths and both surgeons, and no way to order."""
    page = page_of(TwoSurgeons(hospital))
    assert "Decisions side by side" in page
    assert "Dr S. Verrill" in page
    assert "Dr I. Marsh" in page
    assert "Place order" not in page


def test_the_settlement_is_read_with_its_reason(hospital: Hospital) -> None:
    """Who settled, why, and the order of what was kept."""
    case = TwoSurgeons(hospital)
    case.settle(case.third, case.other)
    page = page_of(case)
    assert "Decisions side by side" not in page
    assert "Place order" in page
    case.place(approval=case.other)
    page = page_of(case)
    assert "Settled by Dr P. Hale" in page
    assert "It fits better" in page


def test_the_next_step_after_something_late(hospital: Hospital) -> None:
    """First a surgeon answers; told to cancel, the desk cancels at the supplier."""
    case = Ordered(hospital)
    assert "Answer what came after" not in worklist(case)
    late = case.camp.keep(WIDTH, case.person, "R", width_body(11750))
    assert "Answer what came after the order, right eye." in worklist(case)
    assert "Changed after the order" in page_of(case)
    case.answer(case.third, "cancel", late)
    assert "Cancel the order of the right eye at the supplier." in worklist(case)
    page = page_of(case)
    assert "Cancel at the supplier" in page
    assert "cancel the order" in page
    assert "Weighed" in page
