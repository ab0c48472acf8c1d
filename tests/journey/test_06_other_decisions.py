"""What else a surgeon or the desk may decide: ask, decline, take back, cancel."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.phone import Launch
from tests.journey import deciding
from tests.journey.desk import Desk
from webapp.demo_people import PASSPHRASE

pytestmark = pytest.mark.browser

QUESTION = "Was the depth read twice with the same instrument? It is rather low."
ANSWER = "Yes, twice within a minute, both from the endothelium."


def say(page: Page, button: str, words: str, keep: str) -> None:
    """Open one of the surgeon's sheets, write, and keep it."""
    page.get_by_role("button", name=button, exact=True).click()
    sheet = page.get_by_role("dialog")
    sheet.get_by_role("textbox").fill(words)
    sheet.get_by_role("button", name=keep, exact=True).click()
    expect(page.get_by_role("status").filter(has_text="Kept")).to_be_visible()


def back_and_send(page: Page) -> None:
    """Leave the case and exchange with the base."""
    page.get_by_role("link", name="Back to").first.click()
    deciding.exchange(page)


def test_a_question_comes_back_answered(launch: Launch) -> None:
    """The eye leaves the queue with the question and is there again with the answer."""
    name, eye = "Elke Strand", "Right eye"
    case = launch("surgeon").sign_in("verrill")
    deciding.open_from_queue(case, name, eye)
    say(case, "Ask", QUESTION, "Keep the question")
    back_and_send(case)
    page = launch("camp").sign_in("quill")
    row = page.get_by_role("link", name=name)
    expect(row).to_contain_text(QUESTION)
    row.click()
    page.get_by_role("link", name="Right eye: surgeon asks").click()
    expect(page.get_by_text(QUESTION).first).to_be_visible()
    page.get_by_label("Your answer").fill(ANSWER)
    page.get_by_role("button", name="Keep the answer").click()
    expect(page.get_by_role("status").filter(has_text="Kept")).to_contain_text("your answer")
    page.get_by_role("link", name="Back to").first.click()
    back_and_send(page)
    deciding.exchange(case)
    deciding.open_from_queue(case, name, eye)
    expect(case.get_by_text(ANSWER)).to_be_visible()
    expect(case.get_by_role("button", name="Ask", exact=True)).to_be_visible()


def test_a_declined_eye_says_why_everywhere(launch: Launch, desk: Desk) -> None:
    """The camp and the desk read the surgeon's reason, and nothing can be ordered."""
    name, why = "نورا المرفأ", "The cornea should be mapped before any lens is thought of."
    case = launch("surgeon").sign_in("marsh")
    deciding.open_from_queue(case, name, "Right eye")
    say(case, "Decline", why, "Decline")
    back_and_send(case)
    desk.sign_in()
    desk.open_case(name, "right eye")
    expect(desk.page.get_by_text(f"Declined by Dr I. Marsh: “{why}”")).to_be_visible()
    expect(desk.page.get_by_role("button", name="Place order")).to_have_count(0)
    page = launch("camp").sign_in("ambler", "Saltpan camp")
    expect(page.get_by_role("link", name=name)).to_contain_text("Declined")


def test_an_approval_is_taken_back_before_the_order(launch: Launch, desk: Desk) -> None:
    """An order from the approval that the desk still has open is refused."""
    name, eye = "Maren Tolley", "Right eye"
    desk.sign_in()
    desk.open_case(name, eye.lower())
    case = launch("surgeon").sign_in("verrill")
    deciding.open_from_queue(case, name, eye)
    say(case, "Take back", "The person asked for time to think it over.", "Take it back")
    back_and_send(case)
    desk.place_order()
    expect(desk.page.get_by_role("alert")).to_contain_text("The order was not placed")
    expect(desk.page.get_by_role("button", name="Place order")).to_have_count(0)


def test_a_cancelled_order_frees_the_eye(launch: Launch, desk: Desk) -> None:
    """Cancelled with a reason and the passphrase; the camp may send the eye again."""
    name, eye = "Ines Calder", "Right eye"
    desk.sign_in()
    desk.open_case(name, eye.lower())
    page = desk.page
    page.get_by_role("link", name="Open the order").click()
    page.get_by_text("Cancel this order").click()
    page.get_by_label("Why it is cancelled").fill("The person has moved away.")
    page.get_by_label("Your passphrase, for this cancellation").fill(PASSPHRASE)
    page.get_by_role("button", name="Cancel the order").click()
    expect(page.get_by_text("This order is cancelled")).to_be_visible()
    expect(page.get_by_text("Reason: “The person has moved away.”")).to_be_visible()
    camp = launch("camp").sign_in("ambler", "North Quay camp")
    camp.get_by_role("link", name=name).click()
    camp.get_by_role("link", name="Right eye: order cancelled").click()
    camp.get_by_role("button", name="Send right eye for a plan").click()
    expect(camp.get_by_role("status").filter(has_text="Kept")).to_be_visible()
    camp.get_by_role("link", name="Back to").first.click()
    back_and_send(camp)
    case = launch("surgeon").sign_in("verrill")
    deciding.open_from_queue(case, name, eye)
    deciding.approve(case, eye)
    back_and_send(case)
    desk.open_case(name, eye.lower())
    desk.place_order()
    expect(page.get_by_text("This order stands")).to_be_visible()
