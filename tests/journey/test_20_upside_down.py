"""A lens that opened upside down and was reloaded: day 1 asks for its vault until it is read (H32).

The eye is the demo's own, invented.
"""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch, unlock
from tests.journey import operating
from tests.journey.measuring import Answer, answer, choice, device, give, number
from tests.journey.page_checks import problems

pytestmark = pytest.mark.browser

PERSON, ID = "Ines Calder", "0193a5c0-0003-7000-8000-000000000003"
SERIAL = "TI-UPSIDE"
NOTE = "Taken out before it touched the natural lens, looked at, reloaded."
ASKED = re.compile("The vault has to be measured on day 1, [0-9]")
WHY = "The lens opened upside down and was reloaded: see which way up it lies as well."
ROWS = "After surgery, right eye"


def record(page: Page) -> None:
    """Record the surgery; that something happened is not kept without words about it."""
    operating.begin(page, ID, "R")
    answer(page, "What does the label say?", "Exactly this lens")
    operating.give_serial(page, SERIAL)
    answer(page, "What happened", "Opened upside down, removed and reloaded")
    page.get_by_role("button", name="Keep the surgery").click()
    expect(page.get_by_role("alert").first).to_contain_text("Note")
    page.get_by_label("Note").fill(NOTE)
    assert problems(page) == {}
    operating.keep(page, SERIAL)


def read(page: Page, quantity: str, *answers: Answer) -> None:
    """Take one reading after surgery, the first or another, and come back to the person."""
    rows = page.get_by_role("list", name=ROWS)
    link = rows.get_by_role("link", name=re.compile(f"^{quantity}"))
    row = link.inner_text()
    link.click()
    expect(page.get_by_role("heading", name=quantity).first).to_be_visible()
    if "not yet read" not in row:
        page.get_by_role("button", name=re.compile("^Take (a )?reading")).click()
    give(page, answers)
    expect(page.get_by_role("status").filter(has_text="Kept")).to_be_visible()
    operating.open_person(page, ID)
    expect(rows).to_be_visible(timeout=60_000)


def test_day_1_asks_for_the_vault(base: Base, launch: Launch) -> None:
    """On the surgeon's phone, and on the camp's the day after without network, until it is read."""
    page = launch("surgeon").sign_in("verrill")
    expect(page.get_by_text(PERSON).first).to_be_attached()
    record(page)
    expect(page.get_by_text(NOTE)).to_be_visible()
    expect(page.get_by_text(ASKED)).to_contain_text(WHY)
    operating.send_and_fetch(page)

    camp = launch("camp")
    page = camp.sign_in("ambler", "North Quay camp")
    operating.open_person(page, ID)
    expect(page.get_by_text(ASKED)).to_contain_text(WHY, timeout=60_000)
    read(page, "Pressure after surgery", device("tonometer 1"), number("16"))
    camp.wait_until_offline_ready(page)
    base.stop()
    page.clock.install(time=page.evaluate("Date.now() / 1000 + 86400"))
    page.reload()
    unlock(page)
    the_day_after(page, base)


def the_day_after(page: Page, base: Base) -> None:
    """The list of who is due asks for it; a pressure does not stand for it, a vault does."""
    page.goto(f"{base.address}/app/#/follow-up")
    due = page.get_by_role("list", name="Due now").get_by_role("link", name=PERSON)
    expect(due).to_contain_text("Due now: Day 1")
    expect(due).to_contain_text(ASKED)
    expect(due).to_contain_text(WHY)
    assert problems(page) == {}
    due.click()
    expect(page.get_by_role("list", name=ROWS)).to_be_visible(timeout=60_000)
    read(page, "Pressure after surgery", choice("tonometer 1"), number("15"))
    expect(page.get_by_text("Next: Week 1")).to_contain_text(ASKED)
    read(page, "Vault", choice("Dim (mesopic)"), device("scanner 2"), number("480"))
    expect(page.get_by_role("list", name=ROWS)).to_contain_text("480")
    expect(page.get_by_text("Next: Week 1")).to_be_visible()
    expect(page.get_by_text(ASKED)).to_have_count(0)
    expect(page.get_by_text(WHY)).to_have_count(0)
    assert problems(page) == {}
