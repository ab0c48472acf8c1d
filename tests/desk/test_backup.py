"""A back-up lens on the desk's pages: which of two it is, on every page, file and sheet."""

import csv
import io
import json
from html import unescape

import pytest
from pypdf import PdfReader

from tests.desk.conftest import Desk, ReadyCase
from tests.flow.test_backup import Two
from tests.hospital import Hospital
from webapp.demo_people import PASSPHRASE
from webapp.flow import clock, order, order_progress


@pytest.fixture
def two(hospital: Hospital) -> Two:
    """Return an eye with an approved lens and its back-up."""
    return Two(hospital)


def paper(desk: Desk, order_id: str) -> str:
    """Return the words of an order's sheet in one line."""
    sheet = desk.get(f"/desk/order/{order_id}/sheet.pdf")
    pages = PdfReader(io.BytesIO(sheet.data)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_both_are_said_before_the_order(two: Two, desk: Desk) -> None:
    """On the case and among the eyes to be ordered."""
    case = unescape(desk.get(f"/desk/case/{two.case.person}/R").text)
    assert "And a back-up lens," in case
    assert "and as a back-up Model A-s" in unescape(desk.get("/desk/orders/").text)


def test_each_order_says_which_of_the_two_it_is(two: Two, desk: Desk) -> None:
    """Page, data, table and paper; each leads to the other one."""
    chosen, backup = two.place()
    for mine, other, word in ((chosen, backup, "chosen"), (backup, chosen, "back-up")):
        said = json.loads(desk.get(f"/desk/order/{mine}.json").data)
        assert said["order"]["which"] == word
        assert said["other_lens"]["order"] == other
        assert said["predicted"] is not None
        page = unescape(desk.get(f"/desk/order/{mine}").text)
        assert f"/desk/order/{other}" in page
        text = desk.get(f"/desk/orders/file.csv?order={mine}").text
        (line,) = csv.DictReader(io.StringIO(text, newline=""))
        assert line["Chosen or back-up"] == word
        assert line["Other order"] == said["other_lens"]["number"]
    assert "A back-up lens is ordered beside this one" in paper(desk, chosen)
    assert "This is the back-up lens. It is implanted only after a surgeon" in paper(desk, backup)
    assert "Back-up lens." in unescape(desk.get("/desk/orders/").text)


def test_the_back_ups_sheet_promises_what_that_lens_leaves(two: Two, desk: Desk) -> None:
    """The refraction is the back-up's own, the vault that of the length they share."""
    chosen, backup = two.place()
    mine = json.loads(desk.get(f"/desk/order/{chosen}.json").data)["predicted"]
    other = json.loads(desk.get(f"/desk/order/{backup}.json").data)["predicted"]
    assert other["mean_um"] == mine["mean_um"]
    # A lens of half a dioptre more or less leaves about as much less or more, not the same.
    assert other["sphere_cD"] != mine["sphere_cD"]


def test_after_the_surgeons_word(two: Two, desk: Desk) -> None:
    """Both pages say what is not to be implanted, and why."""
    chosen, backup = two.place()
    for one in (chosen, backup):
        order_progress.arrive(two.fenn, one, clock.today())
    two.check(backup, "SER5")
    two.release(backup, chosen, two.check(chosen, "SER9", expiry_date="2020-01-31"))
    page = unescape(desk.get(f"/desk/order/{chosen}").text)
    assert "Do not implant this lens." in page and "It has expired." in page
    assert "It is released instead of the chosen one." in unescape(
        desk.get(f"/desk/order/{backup}").text
    )


def test_a_single_order_says_nothing_of_a_second(
    hospital: Hospital, case: ReadyCase, desk: Desk
) -> None:
    """As before there were any."""
    placed = order.place(hospital.actor("fenn"), case.person, "R", case.approval, PASSPHRASE)
    said = json.loads(desk.get(f"/desk/order/{placed}.json").data)
    assert (said["order"]["which"], said["other_lens"]) == ("chosen", None)
    assert "back-up" not in unescape(desk.get(f"/desk/order/{placed}").text).lower()
    assert "back-up" not in paper(desk, placed).lower()
