"""One person registered at two camps: a surgeon sees it, the desk joins them, and undoes it."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch, keep_person
from tests.journey.deciding import exchange
from tests.journey.desk import Desk
from tests.journey.page_checks import DESK_THEMES, in_every_look
from webapp.demo_people import PASSPHRASE

pytestmark = pytest.mark.browser

NAME = "Ilse Hartnoll"


def exchange_from_list(page: Page) -> None:
    """Go to the list of people and exchange from there."""
    page.goto(page.url.split("#")[0] + "#/people")
    exchange(page)


def register_at(launch: Launch, user: str, camp: str | None) -> Page:
    """Register the person on a phone of one camp, and send it; return the page."""
    page = launch(user).sign_in(user, camp)
    keep_person(page, NAME)
    exchange_from_list(page)
    return page


def open_listed(page: Page, times: int) -> None:
    """Fetch, find the person so many times in the list, and open the first."""
    exchange_from_list(page)
    page.goto(page.url.split("#")[0] + "#/people")
    listed = page.get_by_role("link").filter(has_text=NAME)
    expect(listed).to_have_count(times)
    listed.first.click()
    expect(page.get_by_role("heading", name=NAME)).to_be_visible()


def sign_for(page: Page, why: str, reason: str, button: str) -> None:
    """Give the reason and the passphrase, and press the button."""
    page.get_by_label(why).fill(reason)
    page.get_by_label(re.compile("Your passphrase, for this")).fill(PASSPHRASE)
    page.get_by_role("button", name=button).click()


def find_at_desk(page: Page, address: str) -> None:
    """Open the person by the worklist's search."""
    page.goto(f"{address}/desk/")
    page.get_by_role("searchbox").fill(NAME)
    page.get_by_role("button", name="Find").click()
    page.get_by_role("link", name=NAME).first.click()


def test_joined_and_separated(base: Base, launch: Launch, desk: Desk) -> None:
    """Who holds both halves sees one person; a camp that holds one measures and cannot plan."""
    here = register_at(launch, "ambler", "Saltpan camp")
    there = register_at(launch, "quill", None)
    surgeon = launch("verrill").sign_in("verrill")
    open_listed(surgeon, 2)
    expect(surgeon.get_by_text("May be registered twice.")).to_be_visible()
    surgeon.get_by_role("button", name="It is the same person").click()
    expect(surgeon.get_by_text("The base joins the two")).to_be_visible()
    exchange_from_list(surgeon)

    page = desk.sign_in()
    find_at_desk(page, base.address)
    page.get_by_role("link", name="Join these registrations").click()
    expect(page.get_by_role("heading", name=NAME)).to_have_count(2)
    assert in_every_look(page, DESK_THEMES) == {}
    button = "Join these registrations"
    sign_for(page, "How you know", "The same card, and the surgeon knows them", button)
    expect(page.get_by_role("heading", name="One person, 2 registrations")).to_be_visible()

    open_listed(surgeon, 1)
    expect(surgeon.get_by_text("One person, 2 registrations")).to_be_visible()
    for camp, other in ((here, "Upper Glen camp"), (there, "Saltpan camp")):
        open_listed(camp, 1)
        stop = camp.get_by_text(f"This person is also registered at {other}")
        expect(stop.first).to_be_visible()

    page.get_by_role("link", name="Separate again").click()
    sign_for(page, "Why they are two people", "Two cousins of one name", "Propose to separate them")
    expect(page.get_by_text("L. Fenn proposed to separate them")).to_be_visible()
    assert in_every_look(page, DESK_THEMES) == {}
    page.get_by_role("button", name="Sign out").click()
    page = desk.sign_in("hale")
    expect(page.get_by_text("L. Fenn proposed it, and waits for a second person")).to_be_visible()
    assert in_every_look(page, DESK_THEMES) == {}
    page.get_by_role("link", name=f"Two registrations of {NAME}").click()
    page.get_by_label("Your passphrase, for this separation").fill(PASSPHRASE)
    page.get_by_role("button", name="Separate these registrations").click()
    expect(page.get_by_role("heading", name="May be registered twice")).to_be_visible()
    open_listed(surgeon, 2)
    expect(surgeon.get_by_text("One person, 2 registrations")).to_have_count(0)
    expect(surgeon.get_by_role("button", name="It is the same person")).to_be_visible()
