"""A lens that lies very high: weighed and decided offline, ordered, checked, exchanged, seen again.

The eye is the demo's own, invented; what its lengths promise is compared with worked figures in
``tests/core/test_exchange_plan.py``.
"""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch, unlock, wait_for_draft
from tests.journey import boxes, deciding
from tests.journey.desk import Desk
from tests.journey.measuring import answer, choice, device, give, number
from tests.journey.page_checks import SIZES, TABLET, THEMES, in_every_look, problems
from webapp.demo_people import PASSPHRASE

pytestmark = pytest.mark.browser

PERSON, EYE = "Joss Averill", "right eye"
ID = "0193a5c0-0013-7000-8000-000000000013"
CHECKS = ("The scan", "The label", "Which way up it lies", "The eye")
NEW_SERIAL = "SER9"


def open_exchange(page: Page) -> None:
    """Open the page of the exchange."""
    page.goto(page.url.split("#")[0] + f"#/exchange/{ID}/R")
    expect(page.get_by_role("heading", name="Seen against planned")).to_be_visible()


def be_sure(page: Page) -> None:
    """Answer the four checks, and see that the last one too is on the disk."""
    for check in CHECKS[:-1]:
        answer(page, check, "I am sure")
    wait_for_draft(page, lambda: answer(page, CHECKS[-1], "I am sure"))


def looks(page: Page) -> dict[str, object]:
    """Return what is wrong with the page, started anew, in every theme and size."""
    page.reload()
    unlock(page)
    expect(page.get_by_role("heading", name="Your decision")).to_be_visible(timeout=60_000)
    return in_every_look(page, THEMES, (*SIZES, TABLET))


def decide(page: Page) -> str:
    """Choose the exchange by keyboard, see each caution, read on, sign; return the new length."""
    dock = page.locator(".dock .btn.main")
    expect(dock).to_have_text("Choose what is to be done")
    page.get_by_role("radio", name="Exchange the lens").focus()
    page.keyboard.press("Space")
    deciding.see_cautions(page)
    deciding.read_to_end(page)
    page.get_by_role("button", name="Decide for the right eye").click()
    sheet = page.get_by_role("dialog")
    sentence = sheet.locator(".sentence").inner_text()
    found = re.search(r"length ([0-9.]+) mm", sentence)
    assert found, sentence
    assert problems(page) == {}
    sheet.get_by_label("Your passphrase, again").fill("not this one")
    sheet.get_by_role("button", name="Sign: exchange the lens").click()
    expect(sheet.get_by_role("alert")).not_to_be_empty()
    sheet.get_by_label("Your passphrase, again").fill(PASSPHRASE)
    sheet.get_by_role("button", name="Sign: exchange the lens").click()
    expect(page.get_by_role("status").filter(has_text="Kept")).to_contain_text("exchange the lens")
    return found[1]


def order_and_check(desk: Desk, length_mm: str) -> None:
    """Order the new lens, note its arrival, and let two people read its box."""
    page = desk.sign_in()
    desk.open_case(PERSON, EYE)
    desk.place_order()
    lens = boxes.typed(desk.order_json()["lens"])
    assert lens["Overall length, mm"] == length_mm
    page.locator("details").evaluate_all("(all) => all.forEach((one) => { one.open = true; })")
    today = page.evaluate("new Date().toISOString().slice(0, 10)")
    arrived = page.locator("form").filter(has_text="The lens is here")
    arrived.locator("input[type=date]").fill(today)
    arrived.get_by_role("button", name="The lens is here").click()
    page.get_by_role("link", name="Check the box that came").click()
    boxes.check(page, lens)


def send_and_fetch(page: Page) -> None:
    """Exchange everything with the base."""
    page.goto(page.url.split("#")[0] + "#/outbox")
    page.get_by_role("button", name="Send and fetch now").click()
    expect(page.get_by_text(re.compile(r"[0-9]+ fetched\."))).to_be_visible()


def record_exchange(page: Page) -> None:
    """Record the surgery with the serial of the lens taken out, which nobody filled in."""
    page.goto(page.url.split("#")[0] + f"#/person/{ID}")
    page.get_by_role("link", name="Record the surgery, right eye").click()
    old = page.get_by_text("serial TI-").first.inner_text()
    page.get_by_role("button", name="Another lens took its place").click()
    found = re.search(r"serial (TI-[0-9A-F]+)", old)
    assert found, old
    page.get_by_label("Day of surgery").fill(page.evaluate("new Date().toISOString().slice(0, 10)"))
    page.get_by_label("Who operated").fill("Dr S. Verrill")
    answer(page, "Serial number of the lens taken out", "Read off its card or box")
    taken_out = page.get_by_label("Serial number, taken out")
    expect(taken_out).to_have_value("")
    taken_out.fill("TI-0000")
    expect(page.get_by_text("This is not the serial on record.")).to_be_visible()
    taken_out.fill(found[1].lower())
    expect(page.get_by_text("This is not the serial on record.")).to_have_count(0)
    answer(page, "What does the label say?", "Exactly this lens")
    answer(page, "Serial number of the lens", "On the label")
    page.get_by_label("Serial number", exact=True).fill(NEW_SERIAL)
    answer(page, "What happened", "Nothing unusual")
    assert problems(page) == {}
    why = page.get_by_label("Why there was no check in theatre")
    if why.count():
        why.fill("The tablet was being charged.")
    page.get_by_role("button", name="Keep the surgery").click()
    expect(page.get_by_text(f"serial {NEW_SERIAL}").first).to_be_visible()
    before = page.get_by_text("Before: ")
    expect(before).to_contain_text(found[1])


def test_very_high_vault_exchanged(base: Base, launch: Launch, desk: Desk) -> None:
    """From a vault of over 1300 micrometres to a good one, with another lens of the same eye."""
    phone = launch("surgeon")
    page = phone.sign_in("verrill")
    expect(page.get_by_text(PERSON).first).to_be_attached()
    deciding.exchange(page)
    page.goto(f"{base.address}/app/#/me")
    expect(page.get_by_text("Pages “Exchange of a lens”: kept on this device")).to_be_visible()
    base.stop()
    open_exchange(page)
    expect(page.get_by_text("Check these first")).to_be_visible()
    # Of what a high vault endangers, the demo's eye has only its pressure on record.
    unread = page.get_by_role("row").filter(has_text="Not read with this lens")
    expect(unread).to_have_text([re.compile(w) for w in ("^Angle", "^Pupil", "^Endothelial")])
    expect(page.get_by_role("radiogroup", name="Lens length and predicted vault")).to_have_count(0)
    be_sure(page)
    expect(page.get_by_text("Check these first")).to_have_count(0)
    now = page.locator(".beam-row").first
    expect(now).to_contain_text("as in the eye")
    expect(now).to_have_attribute("aria-disabled", "true")
    assert looks(page) == {}
    length_mm = decide(page)

    base.start()
    page.goto(f"{base.address}/app/#/outbox")
    page.get_by_role("button", name="Send and fetch now").click()
    expect(page.get_by_text("Everything has arrived.")).to_be_visible()
    order_and_check(desk, length_mm)
    send_and_fetch(page)
    record_exchange(page)
    send_and_fetch(page)
    seen_again(launch("camp").sign_in("ambler", "North Quay camp"))


def seen_again(page: Page) -> None:
    """A good vault is read with the new lens; what was found with the old one stays with that."""
    page.goto(page.url.split("#")[0] + f"#/person/{ID}")
    rows = page.get_by_role("list", name="After surgery, right eye")
    expect(rows).to_be_visible(timeout=60_000)
    expect(rows).not_to_contain_text("1326")
    rows.get_by_role("link", name=re.compile("^Vault")).click()
    page.get_by_role("button", name=re.compile("^Take (a )?reading")).click()
    give(page, (choice("Dim (mesopic)"), device("scanner 2"), number("540")))
    expect(page.get_by_role("status").filter(has_text="Kept")).to_contain_text("540")
    page.get_by_role("link", name="Back to").last.click()
    expect(page.get_by_role("list", name="After surgery, right eye")).to_contain_text("540")
