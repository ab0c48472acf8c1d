"""From the slit lamp to an approved order: the whole way of one eye, mostly without a network."""

import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch, Phone, keep_person, send_until_asked
from tests.journey import deciding, eyes
from tests.journey.deciding import Approved
from tests.journey.desk import Desk
from tests.journey.measuring import (
    ask_the_person,
    back_to_person,
    device,
    give,
    open_quantity,
    take_all,
    tap_keys,
)
from webapp.desk.numbers import dioptres, millimetres

pytestmark = pytest.mark.browser

NAME = "Ilse Hartnoll"
EYE = "Right eye"
# Invented: a chamber of 2.95 mm, which the surgeon is to think about (rule D03).
BEFORE = (
    eyes.refraction("-9.00", "-2.50", "15"),
    eyes.cornea("42.50", "44.50", "100"),
    eyes.depth("2.95"),
    *eyes.REST,
)


def first_by_tapping_second_blind(page: Page) -> None:
    """Take white-to-white twice: the first value is hidden until the second is kept."""
    open_quantity(page, EYE, "White-to-white")
    tap_keys(page, "11.62")
    expect(page.get_by_role("img", name="11.62 mm")).to_be_visible()
    page.get_by_role("button", name="Keep white-to-white, go to device").tap()
    give(page, (device("calliper 2"),))
    expect(page.get_by_role("status").filter(has_text="Kept")).to_contain_text("11.62")
    back_to_person(page)
    expect(page.get_by_text("11.62")).to_have_count(0)
    open_quantity(page, EYE, "White-to-white")
    expect(page.get_by_text("first one hidden")).to_be_visible()
    expect(page.get_by_text("11.62")).to_have_count(0)
    give(page, eyes.diameter("11.58").answers)
    expect(page.get_by_text("11.62")).to_be_visible()
    back_to_person(page)


def measure_offline(base: Base, camp: Phone, page: Page) -> Page:
    """Go through a cold start without a server, register, ask, measure, send; return the tab."""
    camp.wait_until_offline_ready(page)
    expect(page.get_by_role("link", name="Maren Tolley")).to_be_visible()
    base.stop()
    camp.kill()
    camp.relaunch()
    page = camp.open_unlocked()
    expect(page.get_by_role("link", name="Maren Tolley")).to_be_visible()
    keep_person(page, NAME)
    ask_the_person(page)
    take_all(page, EYE, BEFORE)
    first_by_tapping_second_blind(page)
    deciding.send_for_plan(page, EYE)
    return page


def send_what_waits(camp: Phone, page: Page) -> None:
    """Send with the network back; the battery took the session, so the base asks who this is."""
    page.goto(f"{camp.address}/app/#/outbox")
    expect(page.get_by_text("Waiting, 14").first).to_be_visible()
    send_until_asked(page)
    camp.give_passphrase(page, "ambler")
    expect(page.get_by_role("link", name=NAME)).to_contain_text("With surgeon")
    deciding.exchange(page)
    expect(page.get_by_text("Everything has arrived.")).to_be_visible()


def approve_offline(case: Page) -> Approved:
    """Read the case, answer for each caution, read to the end, approve; all without a server."""
    deciding.open_from_queue(case, NAME, EYE)
    expect(case.get_by_role("button", name=re.compile("See [0-9]+ caution"))).to_be_visible()
    assert deciding.see_cautions(case) > 0
    expect(case.get_by_role("button", name="Read to the end first")).to_be_visible()
    deciding.read_to_end(case)
    approved = deciding.open_approval(case, EYE)
    deciding.confirm(case, EYE)
    expect(case.get_by_text("Approved, not yet at the base").first).to_be_visible()
    return approved


def order(desk: Desk, approved: Approved) -> None:
    """Order with the passphrase again; paper and data say what was approved, and no more."""
    desk.sign_in()
    desk.open_case(NAME, EYE.lower())
    desk.place_order("not the passphrase")
    expect(desk.page.get_by_text("This order stands")).to_have_count(0)
    desk.place_order()
    expect(desk.page.get_by_text("This order stands")).to_be_visible()
    paper = desk.print_sheet()
    said = desk.order_json()
    assert {name: said["lens"][name] for name in approved.lens} == approved.lens
    assert said["digest"].startswith(approved.check_code)
    assert (said["eye"]["code"], said["person"]["name"]) == ("R", NAME)
    assert [words for words in written(said) if words not in paper] == []
    assert "REPRINT" not in paper
    assert "REPRINT" in desk.print_sheet()


def written(said: dict[str, Any]) -> list[str]:
    """Return what the paper must say, made from the machine-readable order."""
    lens, person = said["lens"], said["person"]
    powers = [f"{dioptres(lens[name])} D" for name in ("sphere_cD", "cylinder_cD")]
    place = [f"{lens['axis_deg']}°", f"{millimetres(lens['length_um'])} mm", lens["model"]]
    who = [person["name"], person["camp_code"], said["eye"]["word"].upper(), said["eye"]["trade"]]
    return [*powers, *place, *who, str(said["order"]["number"]), said["digest"]]


def test_one_eye_from_the_slit_lamp_to_the_printed_order(
    base: Base, launch: Launch, desk: Desk
) -> None:
    """Measured, sent, approved and ordered; what was approved is what is printed."""
    camp = launch("camp")
    page = measure_offline(base, camp, camp.sign_in("ambler", "Saltpan camp"))
    base.start()
    send_what_waits(camp, page)
    surgeon = launch("surgeon")
    case = surgeon.sign_in("verrill")
    surgeon.wait_until_offline_ready(case)
    expect(case.get_by_role("link", name=NAME)).to_be_visible()
    base.stop()
    approved = approve_offline(case)
    base.start()
    case.get_by_role("link", name="Back to").first.click()
    deciding.exchange(case)
    order(desk, approved)
    deciding.exchange(page)
    page.get_by_role("link", name="People").click()
    expect(page.get_by_role("link", name=NAME)).to_contain_text("Ordered")
    deciding.exchange(case)
    case.get_by_role("link", name="Queue").click()
    expect(case.get_by_role("listitem").filter(has_text=NAME)).to_contain_text("Ordered")
