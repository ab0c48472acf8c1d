"""A back-up lens all the way: named on the phone, ordered, released by the surgeon, implanted.

The chosen lens's box has expired. Nothing of the back-up goes to theatre before the surgeon's word.
"""

import re
from datetime import date

import pytest
from playwright.sync_api import Page, expect

from tests.browser.phone import Launch
from tests.journey import boxes, deciding, operating
from tests.journey import in_theatre as theatre
from tests.journey.desk import Desk
from tests.journey.page_checks import problems
from webapp.demo_people import PASSPHRASE

pytestmark = pytest.mark.browser

# Of the demo: a toric right eye that waits for the surgeon.
PERSON, EYE = "نورا المرفأ", "right eye"
LISTED = theatre.ListedEye(PERSON, EYE, "Right eye, OD")


def approve_with_backup(page: Page) -> str:
    """Approve the recommended lens with another one as its back-up; return the latter in words."""
    deciding.open_from_queue(page, PERSON, "Right eye")
    deciding.see_cautions(page)
    offered = page.locator("#backup label.choice")
    offered.last.click()
    words = offered.last.inner_text()
    deciding.read_to_end(page)
    deciding.open_approval(page, "Right eye")
    expect(page.get_by_role("dialog")).to_contain_text(f"Back-up lens: {words}")
    deciding.confirm(page, "Right eye")
    expect(page.get_by_text(f"Back-up lens: {words}").first).to_be_visible()
    assert problems(page) == {}
    operating.send_and_fetch(page)
    return words


def order_both(desk: Desk) -> tuple[dict[str, str], dict[str, str], str, str]:
    """Order, and return both lenses as they are typed, and the addresses of both orders."""
    page = desk.page
    desk.open_case(PERSON, EYE)
    expect(page.get_by_text("And a back-up lens,")).to_be_visible()
    desk.place_order()
    expect(page.get_by_text("A back-up lens is ordered too")).to_be_visible()
    chosen, said = page.url, desk.order_json()
    assert (said["order"]["which"], said["other_lens"]["which"]) == ("chosen", "back-up")
    assert f"Order {said['other_lens']['number']}, live" in desk.sheet().replace("\n", " ")
    page.get_by_role("link", name=re.compile("^order ")).click()
    expect(page.get_by_role("heading", name=re.compile("^Back-up order "))).to_be_visible()
    other = desk.order_json()
    assert (other["order"]["which"], other["order"]["number"]) == (
        "back-up", said["other_lens"]["number"],
    )  # fmt: skip
    assert "Back-up lens order" in desk.sheet()
    return boxes.typed(said["lens"]), boxes.typed(other["lens"]), chosen, page.url


def check_both_boxes(desk: Desk) -> None:
    """The chosen lens's box has expired, the back-up's is right; neither is released."""
    page = desk.page
    lens, spare, chosen, backup = order_both(desk)
    page.goto(chosen)
    boxes.arrive(page)
    expired = {"Lot": "LOT1", "Serial number": "SER1", "Use by": "2020-01-31"}
    boxes.fill(page, lens | expired)
    boxes.compare(page)
    boxes.stops(page, "The lens has expired")
    page.goto(backup)
    boxes.arrive(page)
    boxes.check(page, spare)
    desk.open_case(PERSON, EYE)
    expect(page.get_by_text("Lens verified")).to_have_count(0)


def release(page: Page) -> None:
    """On the surgeon's phone, release the back-up by the check of the chosen lens."""
    operating.send_and_fetch(page)
    deciding.open_from_queue(page, PERSON, "Right eye")
    page.get_by_role("link", name="Which of both lenses is released").click()
    expect(page.get_by_text("A back-up lens was ordered too")).to_be_visible()
    assert problems(page) == {}
    page.get_by_label(re.compile("SER1: differs")).check()
    page.get_by_label("Why the chosen lens is not implanted").fill("Its box has expired.")
    page.get_by_label("Your passphrase, again").fill("not the passphrase")
    page.get_by_role("button", name="Release the back-up lens, right eye").click()
    expect(page.get_by_role("alert")).to_contain_text("That is not the passphrase")
    page.get_by_label("Your passphrase, again").fill(PASSPHRASE)
    page.get_by_role("button", name="Release the back-up lens, right eye").click()
    expect(
        page.get_by_text("The back-up lens is released and the chosen one is not")
    ).to_be_visible()
    expect(page.get_by_text("Its box is released for theatre.")).to_have_count(1)
    operating.send_and_fetch(page)


def operate(page: Page) -> None:
    """Record the surgery with the back-up's serial number, naming the check in theatre."""
    operating.send_and_fetch(page)
    deciding.open_from_queue(page, PERSON, "Right eye")
    page.get_by_role("link", name="Record the surgery").click()
    page.get_by_label("Yes, by two people").check()
    page.get_by_label("Day of surgery").fill(date.today().isoformat())
    page.get_by_label("Who operated").fill(theatre.SECOND)
    page.get_by_label("Exactly this lens").check()
    operating.give_serial(page, "SER9")
    page.get_by_label("Nothing unusual").check()
    operating.keep(page, "SER9")
    operating.send_and_fetch(page)


def test_named_ordered_released_checked_implanted(desk: Desk, launch: Launch) -> None:
    """From the surgeon's choice to the lens in the eye, with the stop before the surgeon's word."""
    surgeon = launch("surgeon")
    case = surgeon.sign_in("verrill")
    surgeon.wait_until_offline_ready(case)
    approve_with_backup(case)
    desk.sign_in()
    check_both_boxes(desk)
    theatre.put_on_list(desk, LISTED)
    expect(desk.page.get_by_text("It is not released").first).to_be_visible()
    _tablet, page = theatre.tablet_of_two(launch)
    page.get_by_role("link", name="Theatre", exact=True).click()
    expect(page.get_by_text("Not ready").first).to_be_visible()
    release(case)
    operating.send_and_fetch(page)
    page.get_by_role("link", name="Theatre", exact=True).click()
    page.get_by_role("link", name=f"Right eye, {PERSON}").click()
    expect(page.get_by_text("This is the back-up lens.")).to_be_visible()
    theatre.say_who(page, LISTED.mark)
    page.get_by_role("button", name="To the box").click()
    theatre.scan(page, "right")
    page.get_by_role("button", name="The box says the same").click()
    expect(page.get_by_text("the first check is kept")).to_be_visible()
    theatre.confirm(page)
    operating.send_and_fetch(page)
    operate(case)
    desk.open_case(PERSON, EYE)
    expect(desk.page.get_by_text("Implanted").first).to_be_visible()
    expect(desk.page.get_by_text("without a check in theatre")).to_have_count(0)
    expect(desk.page.get_by_text("Another lens than was released")).to_have_count(0)
