"""After surgery: an urgent pressure seen with no network, known to nobody else until it is told."""

import re

import pytest
from playwright.sync_api import Page, expect

import demo_fixtures.people as demo
from tests.browser.base import Base
from tests.browser.phone import Launch, send_until_asked, unlock
from tests.journey.desk import Desk
from tests.journey.measuring import choice, device, give, unusual
from tests.journey.page_checks import DESK_THEMES, in_every_look, problems
from webapp.demo_people import PASSPHRASE

pytestmark = pytest.mark.browser

ONE = next(one for one in demo.PEOPLE if one.right[0] == "followed")


def open_person(page: Page) -> None:
    """Open the operated person's page from the list."""
    page.goto(page.url.split("#")[0] + "#/people")
    expect(page.get_by_role("searchbox")).to_be_visible()
    page.get_by_role("link", name=ONE.name).click()
    expect(page.get_by_text("After surgery, right eye").first).to_be_visible()


def read_pressure(page: Page, mmHg: str) -> None:  # noqa: N803 - a unit
    """Read the pressure of the operated eye on the phone."""
    rows = page.get_by_role("list", name="After surgery, right eye")
    rows.get_by_role("link", name=re.compile("^Pressure after surgery")).click()
    expect(page.get_by_role("heading", name="Pressure after surgery").first).to_be_visible()
    page.get_by_role("button", name=re.compile("Take reading")).click()
    give(page, (device("tonometer 1"), unusual(mmHg)))


def test_an_urgent_pressure_seen_offline(base: Base, launch: Launch, desk: Desk) -> None:
    """The whole screen at once, a strip until it is told, on top at the desk until answered."""
    camp = launch("camp")
    page = camp.sign_in("ambler", "Saltpan camp")
    open_person(page)
    camp.wait_until_offline_ready(page)
    base.stop()
    read_pressure(page, "41")
    expect(page.get_by_role("alertdialog")).to_contain_text("41 mmHg")
    expect(page.get_by_role("heading", name="Act now")).to_be_focused()
    expect(page.get_by_text("Call the surgeon now, by voice.")).to_be_visible()
    assert page.title() == "Urgent · Lampside"
    assert in_every_look(page) == {}

    page.goto(f"{base.address}/app/#/people")
    strip = page.get_by_role("alert").filter(has_text="Act now")
    expect(strip).to_contain_text(f"{ONE.name}, {ONE.camp_code}, right eye")
    camp.kill()
    camp.relaunch()
    page = camp.open_unlocked("#/outbox")
    strip = page.get_by_role("alert").filter(has_text="Act now")
    strip.get_by_role("link").click()
    page.get_by_role("button", name="I told somebody").click()
    expect(page.get_by_role("alert").first).to_contain_text("Name who was told.")
    page.get_by_label("Who was told").fill("Dr S. Verrill")
    page.get_by_label("By phone").check()
    page.get_by_label("What they said").fill("Drops now, the evening boat.")
    page.get_by_role("button", name="I told somebody").click()
    page.wait_for_url(re.compile(r"#/person/[^/]+$"))
    expect(strip).to_have_count(0)

    base.start()
    page.goto(f"{base.address}/app/#/outbox")
    # The battery took the session, so the base asks who this is.
    send_until_asked(page)
    camp.give_passphrase(page, "ambler")
    expect(page.get_by_role("link", name=ONE.name)).to_be_visible()
    page.goto(f"{base.address}/app/#/outbox")
    page.get_by_role("button", name="Send and fetch now").click()
    expect(page.get_by_text("Everything has arrived.")).to_be_visible()
    answer_at_the_desk(desk)


def answer_at_the_desk(desk: Desk) -> None:
    """Find the urgent reading on top of the worklist, read who was told, and answer it."""
    desk.sign_in()
    urgent = desk.page.get_by_role("alert").filter(has_text="Act now")
    expect(urgent).to_contain_text("41 mmHg")
    expect(urgent).to_contain_text("Told: Dr S. Verrill.")
    urgent.get_by_role("link").click()
    expect(desk.page.get_by_text("Drops now, the evening boat.")).to_be_visible()
    assert in_every_look(desk.page, DESK_THEMES) == {}
    desk.page.get_by_label("What is done about it").fill("Dr Verrill sees her at six.")
    desk.page.get_by_label("Your passphrase").fill(PASSPHRASE)
    desk.page.get_by_role("button", name="Answer for the right eye").click()
    expect(desk.page.get_by_text("Dr Verrill sees her at six.")).to_be_visible()
    desk.page.get_by_role("link", name="Back to worklist").click()
    expect(urgent).to_have_count(0)
    desk.page.get_by_role("link", name="Recall").click()
    expect(desk.page.get_by_role("heading", name="Recall")).to_be_visible()
    assert problems(desk.page) == {}


def test_lost_to_follow_up_offline(base: Base, launch: Launch) -> None:
    """Half a year on and with no network, the phone says plainly who was lost, until seen."""
    camp = launch("camp")
    page = camp.sign_in("ambler", "Saltpan camp")
    open_person(page)
    camp.wait_until_offline_ready(page)
    # The last readings of the demo may come some pages after the surgery.
    expect(page.get_by_text("Trends of this lens")).to_be_visible()
    base.stop()
    page.clock.install(time=page.evaluate("Date.now() / 1000 + 240 * 86400"))
    page.reload()
    unlock(page)
    page.goto(f"{base.address}/app/#/people")
    page.get_by_role("link", name=re.compile("^After surgery: [0-9] lost")).click()
    lost = page.get_by_role("list", name="Lost to follow-up")
    expect(lost).to_contain_text(f"{ONE.name}, right eye")
    expect(lost).to_contain_text("Last seen on day")
    assert problems(page) == {}
    lost.get_by_role("link", name=ONE.name).click()
    page.wait_for_url(re.compile(r"#/person/[^/]+$"))
    # The calculation of a whole person takes its time on a busy machine.
    expect(page.get_by_role("list", name="After surgery, right eye")).to_be_visible(timeout=60_000)
    expect(page.get_by_text("Lost to follow-up.")).to_be_visible()
    page.get_by_text("Trends of this lens").click()
    vault = page.get_by_role("figure").filter(has_text="Vault, right eye")
    expect(vault).to_contain_text("No line yet")
    vault.get_by_text("As a table").click()
    expect(vault.get_by_role("table")).to_contain_text("in dim light")
    assert in_every_look(page) == {}
    rows = page.get_by_role("list", name="After surgery, right eye")
    rows.get_by_role("link", name=re.compile("^Clarity of the natural lens")).click()
    page.get_by_role("button", name=re.compile("Take reading")).click()
    give(page, (choice("Keep: clear"),))
    expect(page.get_by_role("status").filter(has_text="Kept")).to_be_visible()
    open_person(page)
    expect(page.get_by_text("Lost to follow-up.")).to_have_count(0)
