"""The first eye's outcome reaches the second eye's plan, and a large surprise stops it (D31)."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch, Phone, keep_person, unlock
from tests.journey import deciding, eyes
from tests.journey.desk import Desk
from tests.journey.measuring import (
    Answer,
    answer,
    ask_the_person,
    choice,
    device,
    give,
    number,
    take_all,
    unusual,
)

pytestmark = pytest.mark.browser

NAME = "Runa Stroud"
RIGHT, LEFT = "Right eye", "Left eye"
# Invented: two eyes of one person, alike but for a step, and measured with the same devices.
ALIKE = {
    RIGHT: (
        eyes.refraction("-9.00", "-2.50", "15"),
        eyes.cornea("42.50", "44.50", "100"),
        eyes.depth("3.20"),
        eyes.diameter("11.62"),
        *eyes.REST,
    ),
    LEFT: (
        eyes.refraction("-8.75", "-2.25", "165"),
        eyes.cornea("42.75", "44.25", "80"),
        eyes.depth("3.18"),
        eyes.diameter("11.60"),
        *eyes.REST,
    ),
}


def exchange(page: Page) -> None:
    """Send and fetch by an outbox opened anew, whose report is of this exchange and no other."""
    app = page.url.split("#")[0]
    page.goto(f"{app}#/people")
    button = page.get_by_role("button", name="Send and fetch now")
    expect(button).to_have_count(0)
    page.goto(f"{app}#/outbox")
    button.click()
    expect(page.get_by_text(re.compile(r"[0-9]+ fetched\."))).to_be_visible()


def measured_and_ordered(
    camp: Page, case: Page, desk: Desk, measured: tuple[str, ...]
) -> deciding.Approved:
    """Measure and send some eyes, approve the right one, order its lens."""
    keep_person(camp, NAME)
    ask_the_person(camp)
    for eye in measured:
        take_all(camp, eye, ALIKE[eye])
    for eye in measured:
        deciding.send_for_plan(camp, eye)
        camp.get_by_role("link", name="Readings").click()
    exchange(camp)
    exchange(case)
    deciding.open_from_queue(case, NAME, RIGHT)
    approved = deciding.approve(case, RIGHT)
    exchange(case)
    desk.sign_in()
    desk.open_case(NAME, RIGHT.lower())
    desk.place_order()
    expect(desk.page.get_by_text("This order stands")).to_be_visible()
    exchange(case)
    return approved


def open_person(page: Page) -> str:
    """Open the person's page from the list; return the person's id."""
    page.goto(page.url.split("#")[0] + "#/people")
    page.get_by_role("link", name=NAME).click()
    page.wait_for_url(re.compile(r"#/person/[^/]+$"))
    return page.url.rsplit("/", 1)[1]


def record_surgery(page: Page, approved: deciding.Approved) -> None:
    """The surgeon compares the lens with its label; nothing was filled in beforehand."""
    open_person(page)
    page.get_by_role("link", name="Record the surgery").click()
    expect(page.get_by_text("Approved and ordered for this eye")).to_contain_text(
        f"{int(str(approved.lens['length_um'])) / 1000:.2f} mm"
    )
    assert page.locator("main input:checked").count() == 0
    texts = page.locator("main input:not([type=radio])").all()
    assert [one.input_value() for one in texts] == [""] * len(texts)
    page.get_by_role("button", name="Keep the surgery").click()
    expect(page.get_by_role("alert")).to_contain_text("Compare the label")
    page.get_by_label("Day of surgery").fill(page.evaluate("new Date().toISOString().slice(0, 10)"))
    page.get_by_label("Who operated").fill("Dr S. Verrill")
    answer(page, "What does the label say?", "Exactly this lens")
    answer(page, "Serial number of the lens", "On the label")
    page.get_by_label("Serial number", exact=True).fill("TI-55 0713")
    answer(page, "What happened", "Nothing unusual")
    page.get_by_role("button", name="Keep the surgery").click()
    expect(page.get_by_text("After surgery, right eye").first).to_be_visible()


def read_after(page: Page, quantity: str, *answers: Answer) -> None:
    """Take one reading after surgery and come back to the person's page."""
    rows = page.get_by_role("list", name="After surgery, right eye")
    rows.get_by_role("link", name=re.compile(f"^{quantity}")).click()
    expect(page.get_by_role("heading", name=quantity).first).to_be_visible()
    again = page.get_by_role("button", name=re.compile("Take reading"))
    if again.count():
        again.click()
    give(page, answers)
    expect(page.get_by_role("status").filter(has_text="Kept")).to_contain_text(RIGHT)
    page.get_by_role("link", name="Back to").last.click()
    page.wait_for_url(re.compile(r"#/person/[^/]+$"))


def vault(micrometres: Answer) -> tuple[Answer, ...]:
    """Return the answers of a vault in dim light."""
    return (choice("Dim (mesopic)"), device("scanner 2"), micrometres)


def predicted(page: Page) -> str:
    """Return the sentence of how the first eye moved the second one's vault."""
    return page.get_by_text("It moved this eye’s vault").inner_text()


def open_plan(page: Page, base: Base, person: str) -> None:
    """Open the plan of the left eye."""
    page.goto(f"{base.address}/app/#/plan/{person}/L")
    expect(page.get_by_role("heading", name="First eye’s outcome")).to_be_visible()


def test_its_author_corrects_and_withdraws_a_surgery(launch: Launch, desk: Desk) -> None:
    """A corrected serial number keeps what was found after it; a withdrawn surgery keeps none."""
    page = launch("surgeon").sign_in("verrill")
    camp = launch("camp").sign_in("ambler", "Saltpan camp")
    record_surgery(page, measured_and_ordered(camp, page, desk, (RIGHT,)))
    read_after(page, "Vault", *vault(number("700")))
    page.get_by_role("link", name="Correct or withdraw the surgery").click()
    page.get_by_role("button", name="Correct it").click()
    expect(page.get_by_label("Serial number", exact=True)).to_have_value("TI-55 0713")
    page.get_by_role("button", name="Keep the correction").click()
    expect(page.get_by_role("alert")).to_contain_text("Write why")
    page.get_by_label("Serial number", exact=True).fill("TI-55 0731")
    page.get_by_label("Reason").fill("Two digits changed places")
    page.get_by_role("button", name="Keep the correction").click()
    expect(page.get_by_text("serial TI-55 0731")).to_be_visible()
    expect(page.get_by_role("list", name="After surgery, right eye")).to_contain_text("700")
    page.get_by_role("link", name="Correct or withdraw the surgery").click()
    page.get_by_role("button", name="Withdraw it").click()
    page.get_by_label("Reason").fill("Recorded for the wrong person")
    page.get_by_role("button", name="Withdraw the surgery").click()
    expect(page.get_by_role("link", name="Record the surgery")).to_be_visible()
    expect(page.get_by_text("After surgery, right eye")).to_have_count(0)


def test_the_first_eye_teaches_and_then_stops(base: Base, launch: Launch, desk: Desk) -> None:
    """Operated, read offline, synced; the second plan moves, and a surprise stops it."""
    camp: Phone = launch("camp")
    page = camp.sign_in("ambler", "Saltpan camp")
    surgeon = launch("surgeon")
    case = surgeon.sign_in("verrill")
    approved = measured_and_ordered(page, case, desk, (RIGHT, LEFT))

    record_surgery(case, approved)
    exchange(case)
    exchange(page)
    person = open_person(page)
    expect(page.get_by_text("After surgery, right eye").first).to_be_visible()
    camp.wait_until_offline_ready(page)
    base.stop()
    page.clock.install(time=days_on(page, 35))
    page.reload()
    unlock(page)
    open_person(page)
    read_after(page, "Vault", *vault(number("700")))
    expect(page.get_by_text("day 35").filter(visible=True).first).to_be_visible()
    open_plan(page, base, person)
    moved = predicted(page)
    base.start()
    exchange(page)
    assert found_by_surgeon(case, base, person) == moved

    page.clock.set_system_time(days_on(page, 7))
    page.reload()
    unlock(page)
    open_person(page)
    read_after(page, "Vault", *vault(unusual("1400")))
    expect(page.get_by_text("Right eye: Vault very high").first).to_be_visible()
    exchange(page)
    exchange(case)
    case.goto(f"{base.address}/app/#/case/{person}/L")
    expect(case.get_by_text("First eye: vault far from its prediction").first).to_be_visible()
    expect(case.get_by_text("It does not move this eye’s prediction").first).to_be_visible()
    expect(case.get_by_role("button", name=re.compile("Give 1 reason"))).to_be_visible()
    desk.open_case(NAME, LEFT.lower())
    expect(desk.page.get_by_text("First eye: vault far from its prediction")).to_be_visible()


def found_by_surgeon(case: Page, base: Base, person: str) -> str:
    """Fetch, open the left eye, and return how the first eye moved it."""
    exchange(case)
    case.goto(f"{base.address}/app/#/case/{person}/L")
    expect(case.get_by_role("heading", name="First eye’s outcome")).to_be_visible()
    return predicted(case)


def days_on(page: Page, days: int) -> int:
    """Return a moment some days after the page's own now [s since 1970]."""
    return int(page.evaluate("(days) => Date.now() / 1000 + days * 86400", days))
