"""An eye with which nothing happens: from the slit lamp to a year after, each by whom it falls to.

Measured and sent by the camp, approved, ordered, its box read by two, checked in theatre, operated,
and seen at each visit of the first year. Every figure is invented.
"""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch, Phone, keep_person, unlock
from tests.journey import boxes, deciding, eyes, operating
from tests.journey import in_theatre as theatre
from tests.journey.desk import Desk
from tests.journey.measuring import ask_the_person, choice, device, give, number, take_all
from tests.journey.page_checks import problems, shot

pytestmark = pytest.mark.browser

NAME, EYE = "Tansy Birkett", "Right eye"
LISTED = theatre.ListedEye(NAME, "right eye", "Right eye, OD")
ROWS = "After surgery, right eye"
SERIAL = boxes.TRACED["Serial number"]
MEASURED = (
    eyes.refraction("-9.00", "-1.00", "10"),
    eyes.cornea("42.50", "44.00", "100"),
    eyes.depth("3.20"),
    *eyes.REST,
)
# Days after surgery, the visit that is due then, the one after it, and the vault that is read.
VISITS = (
    (0, "Same-day visit", "Day 1", "530"),
    (1, "Day 1", "Week 1", "520"),
    (7, "Week 1", "Month 1", "510"),
    (30, "Month 1", "Month 3", "495"),
    (91, "Month 3", "Month 6", "490"),
    (182, "Month 6", "Year 1", "480"),
    (365, "Year 1", "Year 2", "470"),
)


def measure(page: Page) -> str:
    """Register, ask, measure and send one eye; return the person's id."""
    keep_person(page, NAME)
    ask_the_person(page)
    take_all(page, EYE, MEASURED)
    take_all(page, EYE, (eyes.diameter("11.80"), eyes.diameter("11.82")))
    person = page.url.rpartition("/")[2]
    deciding.send_for_plan(page, EYE)
    operating.send_and_fetch(page)
    return person


def approve(page: Page) -> None:
    """Approve the plan from the queue, and send the approval."""
    deciding.open_from_queue(page, NAME, EYE)
    deciding.approve(page, EYE)
    operating.send_and_fetch(page)


def order(desk: Desk) -> None:
    """Order the lens, note its arrival, and let two people read its box."""
    page = desk.sign_in()
    desk.open_case(NAME, LISTED.eye)
    desk.place_order()
    lens = boxes.typed(desk.order_json()["lens"])
    boxes.arrive(page)
    boxes.check(page, lens)


def check_in_theatre(page: Page) -> None:
    """Who, which eye, the box, and the second person."""
    theatre.open_eye(page, LISTED)
    theatre.say_who(page, LISTED.mark)
    page.get_by_role("button", name="To the box").click()
    theatre.scan(page, "right")
    page.get_by_role("button", name="The box says the same").click()
    theatre.confirm(page)


def operate(page: Page, person: str) -> None:
    """Record the surgery on the tablet: the lens that was checked, nothing unusual."""
    operating.begin(page, person, "R")
    page.get_by_label("Yes, by two people").check()
    page.get_by_label("Exactly this lens").check()
    operating.give_serial(page, SERIAL)
    page.get_by_label("Nothing unusual").check()
    operating.keep(page, SERIAL)
    operating.send_and_fetch(page)


def a_year_of_visits(camp: Phone, page: Page, person: str) -> None:
    """Without network: each visit is due on its day, takes a vault, and names the next."""
    surgery_ms = page.evaluate("Date.now()")
    page.clock.install(time=surgery_ms / 1000)
    for days, due, after, vault in VISITS:
        page.clock.set_system_time(surgery_ms / 1000 + days * 86_400)
        page.goto(f"{camp.address}/app/#/follow-up")
        page.reload()
        unlock(page)
        row = page.get_by_role("list", name="Due now").get_by_role("link", name=NAME)
        expect(row).to_contain_text(f"Due now: {due}", timeout=60_000)
        row.click()
        read_vault(page, vault)
        operating.open_person(page, person)
        expect(page.get_by_text(f"Next: {after}")).to_be_visible(timeout=60_000)


def read_vault(page: Page, micrometres: str) -> None:
    """Take the vault of a visit."""
    rows = page.get_by_role("list", name=ROWS)
    expect(rows).to_be_visible(timeout=60_000)
    rows.get_by_role("link", name=re.compile("^Vault")).click()
    taken_before = page.get_by_role("button", name=re.compile("^Take (a )?reading"))
    expect(page.get_by_role("heading", name="Vault").first).to_be_visible()
    if taken_before.count():
        taken_before.click()
        instrument = choice("scanner 2")
    else:
        instrument = device("scanner 2")
    give(page, (choice("Dim (mesopic)"), instrument, number(micrometres)))
    expect(page.get_by_role("status").filter(has_text="Kept")).to_contain_text(micrometres)


def read_the_trend(page: Page) -> None:
    """Every vault of the year stands in the table behind the drawing, day by day."""
    page.get_by_text("Trends of this lens").click()
    drawn = page.locator("figure").filter(has=page.get_by_text("Vault", exact=False)).first
    drawn.get_by_text("As a table").click()
    rows = drawn.locator("tbody tr")
    expect(rows).to_have_count(len(VISITS))
    for row, (days, _due, _after, vault) in zip(rows.all(), VISITS, strict=True):
        expect(row.locator("td").first).to_have_text(str(days))
        expect(row).to_contain_text(vault)
    shot(page, "year")


def test_from_the_slit_lamp_to_a_year_after(base: Base, launch: Launch, desk: Desk) -> None:
    """No step is left out, nothing has to be said twice, and the year's vaults stand together."""
    camp = launch("camp")
    at_camp = camp.sign_in("ambler", "Saltpan camp")
    person = measure(at_camp)
    approve(launch("surgeon").sign_in("verrill"))
    order(desk)
    theatre.put_on_list(desk, LISTED)
    _tablet, page = theatre.tablet_of_two(launch)
    check_in_theatre(page)
    operate(page, person)
    operating.send_and_fetch(at_camp)
    camp.wait_until_offline_ready(at_camp)
    base.stop()
    a_year_of_visits(camp, at_camp, person)
    read_the_trend(at_camp)
    assert problems(at_camp) == {}
