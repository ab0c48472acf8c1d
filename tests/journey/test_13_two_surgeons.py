"""Two surgeons decide apart from each other; a third settles; a reading comes after the order."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch
from tests.journey import deciding, eyes
from tests.journey.deciding import Approved
from tests.journey.desk import Desk
from tests.journey.measuring import take_third_width
from webapp.demo_people import PASSPHRASE

pytestmark = pytest.mark.browser

NAME, EYE = "Elke Strand", "Right eye"
WHY = "The shorter lens keeps the angle open; the chance in the window is nearly the same."
KEEP_WHY = "One tenth of a millimetre does not move the choice of length."


def take_another_length(page: Page) -> None:
    """Choose the next length of the catalogue in place of the one that is proposed."""
    page.get_by_role("button", name="Another available lens").click()
    sheet = page.get_by_role("dialog")
    length = sheet.get_by_label("Length, mm")
    options = length.locator("option").all_inner_texts()
    chosen = length.evaluate("(element) => element.selectedIndex")
    length.select_option(label=options[chosen - 1 if chosen > 0 else chosen + 1])
    sheet.get_by_role("button", name="Show this lens").click()
    expect(sheet).to_have_count(0)


def answer_for_stops(page: Page) -> None:
    """Give a reason for each stop that asks for one."""
    for box in page.locator("main").get_by_label("Your reason").all():
        box.fill("Weighed against the chart of this eye.")


def confirm(page: Page, choice: str, why: str, button: str) -> None:
    """Choose, say why, give the passphrase, and keep it."""
    sheet = page.get_by_role("dialog")
    sheet.locator("label.choice").filter(has_text=choice).click()
    sheet.get_by_label("Why").fill(why)
    sheet.get_by_label("Your passphrase, again").fill(PASSPHRASE)
    sheet.get_by_role("button", name=button).click()
    expect(page.get_by_role("status").filter(has_text="Kept")).to_be_visible()


def back_and_exchange(page: Page) -> None:
    """Leave the case and exchange with the base."""
    page.get_by_role("link", name="Back to").first.click()
    deciding.exchange(page)


def approve_offline(one: Page, two: Page, base: Base) -> tuple[Approved, Approved]:
    """Both surgeons approve while nothing reaches the base; the second takes another length."""
    for page in (one, two):
        deciding.exchange(page)
        page.get_by_role("link", name="Queue").click()
        # Two new phones read every eye of three camps at once.
        row = page.get_by_role("listitem").filter(has_text=NAME).filter(has_text=EYE)
        expect(row.first).to_be_visible(timeout=90_000)
        deciding.open_from_queue(page, NAME, EYE)
    base.stop()
    first = deciding.approve(one, EYE)
    take_another_length(two)
    answer_for_stops(two)
    second = deciding.approve(two, EYE)
    base.start()
    for page in (one, two):
        back_and_exchange(page)
    return first, second


def measure_late(page: Page) -> None:
    """Take one more white-to-white at the camp, after the order."""
    take_third_width(page, NAME, EYE, eyes.diameter("11.40"))
    back_and_exchange(page)


def test_settled_ordered_and_answered(base: Base, launch: Launch, desk: Desk) -> None:
    """Nothing is ordered while they differ; then exactly the kept one; then a surgeon answers."""
    phones = [launch("one"), launch("two")]
    one, two = (
        phone.sign_in(name) for phone, name in zip(phones, ("verrill", "marsh"), strict=True)
    )
    for phone, page in zip(phones, (one, two), strict=True):
        phone.wait_until_offline_ready(page)
    _first, second = approve_offline(one, two, base)
    desk.sign_in()
    desk.open_case(NAME, EYE.lower())
    expect(desk.page.get_by_role("group", name="Decisions side by side")).to_be_visible()
    expect(desk.page.get_by_role("button", name="Place order")).to_have_count(0)
    third = launch("three").sign_in("hale")
    deciding.open_from_queue(third, NAME, EYE)
    expect(third.get_by_role("group", name="Decisions side by side")).to_contain_text("Dr I. Marsh")
    third.get_by_role("button", name="Settle for the right eye").click()
    confirm(third, "by Dr I. Marsh", WHY, "Settle it")
    back_and_exchange(third)
    desk.open_case(NAME, EYE.lower())
    desk.place_order()
    expect(desk.page.get_by_text("This order stands")).to_be_visible()
    said = desk.order_json()
    assert {name: said["lens"][name] for name in second.lens} == second.lens
    assert said["digest"].startswith(second.check_code)
    after_the_order(launch, third, desk)


def after_the_order(launch: Launch, surgeon: Page, desk: Desk) -> None:
    """A late reading stands on phone and desk until the surgeon has answered."""
    measure_late(launch("camp").sign_in("quill"))
    desk.open_case(NAME, EYE.lower())
    expect(desk.page.get_by_role("region", name="After the order")).to_contain_text(
        "white-to-white"
    )
    deciding.exchange(surgeon)
    deciding.open_from_queue(surgeon, NAME, EYE)
    surgeon.get_by_role("button", name="Answer for the right eye").click()
    confirm(surgeon, "Keep the order as it is", KEEP_WHY, "Keep this answer")
    back_and_exchange(surgeon)
    desk.open_case(NAME, EYE.lower())
    after = desk.page.get_by_role("region", name="After the order")
    expect(after).to_contain_text("Dr P. Hale: keep the order")
    expect(after).not_to_contain_text("Stop.")
