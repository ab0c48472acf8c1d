"""The desk's pages of an eye with two lenses, one after the other, and of an exchange's order."""

import pytest

from tests.desk.exchange_pages import page
from tests.flow.exchange_case import Case
from tests.hospital import Hospital


@pytest.fixture
def case(hospital: Hospital) -> Case:
    """Return an operated eye whose lens lies at 1250 um."""
    return Case(hospital)


def test_a_lens_that_lies_high(case: Case) -> None:
    """The page of the eye shows what each length would give, and what there is beside it."""
    text = page(case, f"/desk/case/{case.person}/R")
    assert "The lens in the eye" in text
    assert "Vault with another length" in text
    assert "Beside another length" in text


def test_before_it_is_ordered(case: Case) -> None:
    """Whoever orders reads which lens comes out."""
    case.decide()
    text = page(case, f"/desk/case/{case.person}/R")
    assert "This lens takes the place of one in the eye" in text
    assert "serial TI-1" in text
    assert "Place order for the right eye" in text


def test_order_sheet_and_file(case: Case) -> None:
    """The order's page, its sheet and its file say that it is an exchange, and of which lens."""
    placed = case.place(case.decide())
    text = page(case, f"/desk/order/{placed}")
    assert "Comes out: " in text
    assert "sphere minus 10.00" in text
    client = case.hospital.client("fenn")
    assert client.get(f"/desk/order/{placed}/sheet.pdf").status_code == 200
    out = client.get(f"/desk/order/{placed}.json").json["exchange"]
    assert (out["serial"], out["takes_out"]["length_um"]) == ("TI-1", 13000)


def test_two_lenses_one_after_the_other(case: Case) -> None:
    """Each with its own readings; the first says when it was taken out."""
    case.operate(**case.exchange_body())
    text = page(case, f"/desk/case/{case.person}/R")
    assert "lens taken out 22 Nov 2026" in text
    assert "in place of another lens" in text
    assert page(case, f"/desk/person/{case.person}")
    assert page(case, f"/desk/recall/{case.person}/R")


def test_worklist_and_lists(case: Case) -> None:
    """A lens that is watched stands in the worklist under its own word."""
    case.decide("observe")
    assert "Exchange considered" in page(case, "/desk/?state=exchange_considered")
    assert page(case, "/desk/recall")
