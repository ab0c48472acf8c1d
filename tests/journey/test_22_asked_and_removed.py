"""An optometrist asks offline for an exchange; a surgeon watches, takes it back, removes the lens.

The eye is the demo's own, invented. At the end it is free for a new plan, and what was recorded of
the lens can still be corrected by whoever recorded it.
"""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch, unlock, wait_for_draft
from tests.journey import deciding
from tests.journey.measuring import answer
from tests.journey.page_checks import SIZES, TABLET, THEMES, in_every_look, problems
from tests.journey.pictures import picture
from tests.journey.test_19_exchange import ID, NEW_SERIAL, PERSON, be_sure, send_and_fetch
from webapp.demo_people import PASSPHRASE

pytestmark = pytest.mark.browser

NOTE = "Rings at night, and the iris bows forward."


def go(page: Page, address: str) -> None:
    """Open a page of the app."""
    page.goto(page.url.split("#")[0] + address)


def looks(page: Page, heading: str) -> dict[str, object]:
    """Return what is wrong with the page, started anew, in every theme and size."""
    page.reload()
    unlock(page)
    expect(page.get_by_text(heading).first).to_be_visible(timeout=60_000)
    return in_every_look(page, THEMES, (*SIZES, TABLET))


def ask(page: Page) -> None:
    """Ask for an exchange to be weighed, without any network."""
    go(page, f"#/person/{ID}")
    page.get_by_role("link", name="Ask to weigh an exchange, right eye").click()
    keep = page.get_by_role("button", name="Keep, right eye")
    keep.click()
    expect(page.get_by_role("alert")).to_contain_text("Choose why.")
    answer(page, "Why", "Vault too high")
    wait_for_draft(page, lambda: page.get_by_label("Note").fill(NOTE))
    assert looks(page, "A surgeon reads this in the queue") == {}
    keep.click()
    expect(page.get_by_text("Asked to weigh an exchange: vault too high")).to_be_visible()


def decide(page: Page, what: str) -> None:
    """Answer the four checks, choose, see each caution, read on, sign."""
    be_sure(page)
    page.get_by_role("radio", name=what).focus()
    page.keyboard.press("Space")
    deciding.see_cautions(page)
    deciding.read_to_end(page)
    page.get_by_role("button", name="Decide for the right eye").click()
    sheet = page.get_by_role("dialog")
    sheet.get_by_label("Your passphrase, again").fill(PASSPHRASE)
    sheet.get_by_role("button", name=f"Sign: {what.lower()}").click()
    expect(page.get_by_role("status").filter(has_text="Kept")).to_contain_text(what.lower())


def open_asked(page: Page) -> None:
    """Open the eye from the queue, where it says who asked and why."""
    go(page, "#/queue")
    row = page.get_by_role("listitem").filter(has_text=PERSON).filter(has_text="Right eye")
    expect(row).to_contain_text(f"R. Ambler asks to weigh an exchange: vault too high, “{NOTE}”")
    expect(row).to_contain_text("Vault very high")
    row.get_by_role("link").first.click()
    asked = page.get_by_role("region", name="Asked")
    expect(asked).to_contain_text("R. Ambler asked to weigh an exchange")
    expect(asked).to_contain_text(NOTE)


def take_back(page: Page) -> None:
    """Take the decision to watch back, with a reason; then the request waits again."""
    dock = page.locator(".dock")
    expect(dock).to_contain_text("Take your decision back first")
    dock.get_by_role("button", name="Take back").click()
    sheet = page.get_by_role("dialog")
    expect(sheet.get_by_role("button", name="Write it first")).to_be_visible()
    sheet.get_by_label("Why you take it back").fill("The angle was looked at again.")
    assert problems(page) == {}
    sheet.get_by_role("button", name="Take it back").click()
    expect(page.get_by_role("status").filter(has_text="Kept")).to_contain_text("taken back")
    expect(page.get_by_role("region", name="Asked", exact=True)).to_be_visible()
    expect(page.get_by_role("region", name="Decided before")).to_contain_text("No longer stands")


def read_case(page: Page) -> None:
    """The surgeon's page of the eye says what was decided, and plans nothing."""
    go(page, f"#/case/{ID}/R")
    expect(page.get_by_text("Take the lens out.")).to_be_visible()
    expect(page.get_by_text("Decided by you")).to_be_visible()
    expect(page.get_by_role("radiogroup", name="Lens length and predicted vault")).to_have_count(0)
    expect(page.locator(".dock")).to_contain_text("Take back")
    assert looks(page, "Take the lens out.") == {}


def scan_another(page: Page) -> None:
    """The code of another lens fills its serial number in, which is not the one on record."""
    expect(page.get_by_role("button", name="Scan its code")).to_be_visible()
    page.locator("summary").filter(has_text="A picture of the code").click()
    file = {"name": "box.png", "mimeType": "image/png", "buffer": picture("right")}
    page.get_by_label("A picture of the code").set_input_files([file])  # type: ignore[list-item]
    taken_out = page.get_by_label("Serial number, taken out")
    expect(taken_out).to_have_value(NEW_SERIAL, timeout=60_000)
    expect(page.get_by_text("Scanned. Compare it with the card")).to_be_visible()
    expect(page.get_by_text("This is not the serial on record.")).to_be_visible()


def remove(page: Page) -> None:
    """Record that the lens was taken out and none put in."""
    go(page, f"#/person/{ID}")
    page.get_by_role("link", name="Correct or withdraw the surgery, right eye").click()
    old = page.get_by_text("serial TI-").first.inner_text()
    found = re.search(r"serial (TI-[0-9A-F]+)", old)
    assert found, old
    page.get_by_role("button", name="It was taken out, none put in").click()
    page.get_by_role("button", name="Keep the removal, right eye").click()
    for missing in ("Say whether its serial was read.", "Give the day.", "Name who operated.",
                    "Choose why it was taken out."):  # fmt: skip
        expect(page.get_by_role("alert").first).to_contain_text(missing)
    answer(page, "Serial number of the lens taken out", "Read off its card or box")
    scan_another(page)
    page.get_by_label("Serial number, taken out").fill(found[1].lower())
    expect(page.get_by_text("This is not the serial on record.")).to_have_count(0)
    page.get_by_label("Day of surgery").fill(page.evaluate("new Date().toISOString().slice(0, 10)"))
    page.get_by_label("Who operated").fill("Dr S. Verrill")
    wait_for_draft(page, lambda: answer(page, "Why", "Vault too high"))
    assert looks(page, "What comes out:") == {}
    page.get_by_role("button", name="Keep the removal, right eye").click()
    expect(page.get_by_text("Before: ")).to_contain_text(found[1])


def correct_the_removal(page: Page) -> None:
    """Its author corrects it from the same page, with no lens in the eye any more."""
    page.get_by_role("link", name="Correct or withdraw the surgery, right eye").click()
    page.get_by_text("Lenses that were in this eye before").click()
    past = page.get_by_role("region", name="Lens taken out")
    expect(past).to_contain_text("by Dr S. Verrill: Vault too high.")
    past.get_by_role("button", name="Correct the removal").click()
    page.get_by_label("Who operated").fill("Dr I. Marsh")
    page.get_by_label("Reason", exact=True).fill("She operated, I assisted.")
    page.get_by_role("button", name="Keep the correction, right eye").click()
    expect(page.get_by_text("Before: ")).to_be_visible()
    page.get_by_role("link", name="Correct or withdraw the surgery, right eye").click()
    page.get_by_text("Lenses that were in this eye before").click()
    expect(page.get_by_role("region", name="Lens taken out")).to_contain_text("by Dr I. Marsh")


def test_asked_watched_taken_back_removed(base: Base, launch: Launch) -> None:
    """From the request without network to an eye that is free for a new plan."""
    camp = launch("camp").sign_in("ambler", "North Quay camp")
    expect(camp.get_by_text(PERSON).first).to_be_attached()
    deciding.exchange(camp)
    go(camp, "#/me")
    expect(camp.get_by_text("Pages “Exchange of a lens”: kept on this device")).to_be_visible()
    base.stop()
    ask(camp)
    base.start()
    send_and_fetch(camp)

    page = launch("surgeon").sign_in("verrill")
    expect(page.get_by_text(PERSON).first).to_be_attached()
    open_asked(page)
    decide(page, "Watch it")
    expect(page.get_by_role("region", name="Asked", exact=True)).to_have_count(0)
    take_back(page)
    decide(page, "Take it out")
    read_case(page)
    send_and_fetch(page)
    remove(page)
    correct_the_removal(page)
    send_and_fetch(page)

    send_and_fetch(camp)
    go(camp, f"#/person/{ID}")
    expect(camp.get_by_text("Before: ")).to_be_visible()
    expect(camp.get_by_text("Ask to weigh an exchange, right eye")).to_have_count(0)
    expect(camp.get_by_role("link", name="Send right eye")).to_be_visible()
