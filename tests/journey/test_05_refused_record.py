"""The base refuses a record: it stays on the phone with the reason until somebody acts."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from playwright.sync_api import Page, expect

from tests.browser.phone import Launch, keep_person
from tests.journey.desk import Desk
from tests.journey.page_checks import DESK_THEMES, in_every_look
from webapp.demo_people import PASSPHRASE

pytestmark = pytest.mark.browser

NAME = "Ilse Hartnoll"
OPTOMETRIST, DESK = "Optometrist", "Base desk"


def take_away(desk: Desk, role: str) -> None:
    """As the administrator, take a role at Saltpan from R. Ambler."""
    button = desk.page.get_by_role("button", name=f"Take away {role} at Saltpan camp from R. Amb")
    button.click()
    expect(button).to_have_count(0)


def give(desk: Desk, role: str) -> None:
    """As the administrator, give R. Ambler a role at Saltpan."""
    row = desk.page.get_by_role("row").filter(has_text="R. Ambler")
    row.get_by_text("Add a role").click()
    row.get_by_label("Role").select_option(role)
    row.get_by_label("Site").select_option("Saltpan camp")
    row.get_by_label("Your passphrase").fill(PASSPHRASE)
    row.get_by_role("button", name="Give this role").click()
    button = desk.page.get_by_role("button", name=f"Take away {role} at Saltpan camp from R. Amb")
    expect(button).to_be_visible()


@pytest.fixture
def accounts(desk: Desk) -> Desk:
    """Give the page where an administrator says who works where."""
    desk.sign_in("rook")
    desk.page.get_by_role("link", name="People").click()
    expect(desk.page.get_by_role("heading", name="People who sign in")).to_be_visible()
    return desk


@pytest.fixture
def camp(launch: Launch) -> Page:
    """Give R. Ambler's phone at Saltpan, with the camp's people on it."""
    page = launch("camp").sign_in("ambler", "Saltpan camp")
    expect(page.get_by_role("link", name="Maren Tolley")).to_be_visible()
    return page


@contextmanager
def out_of_reach(camp: Page) -> Iterator[None]:
    """Let the phone hear nothing meanwhile: it must not learn of the change before it writes."""
    camp.context.set_offline(True)
    keep_person(camp, NAME)
    yield
    camp.context.set_offline(False)


def at_the_desk_only(accounts: Desk) -> None:
    """By mistake, let R. Ambler work at Saltpan's desk and no longer measure."""
    give(accounts, DESK)
    take_away(accounts, OPTOMETRIST)


def look_at_what_is_apart(accounts: Desk) -> None:
    """A surgeon finds the refused record at the base, with why it is apart and what to decide."""
    page = accounts.page
    page.get_by_role("button", name="Sign out", exact=True).click()
    accounts.sign_in("verrill")
    page.get_by_role("link", name="Kept apart").click()
    expect(page.get_by_text("A surgeon has to decide")).to_be_visible()
    assert in_every_look(page, DESK_THEMES) == {}
    page.get_by_role("rowheader").get_by_role("link").click()
    expect(page.get_by_text("Why it is apart")).to_be_visible()
    assert in_every_look(page, DESK_THEMES) == {}
    page.get_by_role("button", name="Sign out").click()
    accounts.sign_in("rook")
    page.get_by_role("link", name="People").click()


def test_it_stays_with_its_reason_and_goes_when_the_reason_is_gone(
    camp: Page, accounts: Desk
) -> None:
    """By mistake R. Ambler is at the desk only: refused, said on every page, sent again later."""
    with out_of_reach(camp):
        at_the_desk_only(accounts)
    refused = camp.get_by_role("link", name="1 refused, needs you")
    expect(refused).to_be_visible()
    refused.click()
    expect(camp.get_by_text("Refused.")).to_be_visible()
    reason = camp.locator(".finding").filter(has_text=NAME)
    expect(reason).to_contain_text("optometrist")
    look_at_what_is_apart(accounts)
    give(accounts, OPTOMETRIST)
    camp.get_by_role("button", name="Send it again").click()
    expect(camp.get_by_text("Refused.")).to_have_count(0)
    expect(camp.get_by_text("Everything has arrived.")).to_be_visible()
    camp.get_by_role("link", name="People").click()
    row = camp.get_by_role("link", name=NAME)
    expect(row).to_be_visible()
    expect(row).not_to_contain_text("waiting")


def test_it_can_be_withdrawn_with_a_reason_and_stays_listed(camp: Page, accounts: Desk) -> None:
    """Withdrawn, it asks for nobody any more, is sent no more, and stays with who and why."""
    with out_of_reach(camp):
        at_the_desk_only(accounts)
    camp.get_by_role("link", name="1 refused, needs you").click()
    camp.get_by_role("button", name="Withdraw it").click()
    camp.get_by_role("button", name="Withdraw this record").click()
    expect(camp.get_by_role("dialog")).to_contain_text("Say why in a few words")
    camp.get_by_label("Reason").fill("registered at the wrong desk")
    camp.get_by_role("button", name="Withdraw this record").click()
    expect(camp.get_by_text("Refused.")).to_have_count(0)
    expect(camp.get_by_role("link", name="needs you")).to_have_count(0)
    said = "by R. Ambler: registered at the wrong desk"
    gone = camp.get_by_role("listitem").filter(has_text=said)
    expect(gone).to_contain_text(NAME)


def test_what_a_stranger_to_the_camp_kept_waits_and_says_why(camp: Page, accounts: Desk) -> None:
    """Without any role at the camp nothing is offered; it goes once the role is back."""
    with out_of_reach(camp):
        take_away(accounts, OPTOMETRIST)
    camp.get_by_role("link", name="Back to").first.click()
    camp.get_by_role("link", name="Outbox").click()
    expect(camp.get_by_text("The base does not list you as working at")).to_be_visible()
    give(accounts, OPTOMETRIST)
    camp.get_by_role("button", name="Send and fetch now").click()
    expect(camp.get_by_text("Everything has arrived.")).to_be_visible()
