"""How an optometrist sends an eye, and how a surgeon reads, answers for and approves it."""

import re
from typing import NamedTuple

from playwright.sync_api import Page, expect

from webapp.demo_people import PASSPHRASE

SENTENCE = re.compile(
    r"(?P<eye>Right|Left) eye: sphere (?P<sphere>(?:minus |plus )?[0-9.]+)[^,]*, "
    r"(?:no cylinder|cylinder (?P<cylinder>minus [0-9.]+)[^,]* at axis (?P<axis>[0-9]+)), "
    r"length (?P<length>[0-9.]+) mm, (?P<model>.+)\."
)


class Approved(NamedTuple):
    """What stood before the surgeon's eyes when the passphrase was typed."""

    eye: str
    lens: dict[str, object]
    sentence: str
    check_code: str
    """First 16 characters of the digest, without the spaces between groups."""


def send_for_plan(page: Page, eye: str) -> None:
    """Send an eye from the person's page to the surgeon; it waits on the phone for the network."""
    page.get_by_role("link", name=f"Send {eye.lower()}").click()
    page.get_by_role("button", name=f"Send {eye.lower()} for a plan").click()
    expect(page.get_by_role("status").filter(has_text="Kept")).to_contain_text(
        "goes to the surgeon"
    )


def exchange(page: Page) -> None:
    """Send and fetch by the outbox, with a server that is there, until all is exchanged."""
    page.get_by_role("navigation", name="Pages").get_by_role("link", name="Outbox").click()
    page.get_by_role("button", name="Send and fetch now").click()
    expect(page.get_by_text(re.compile(r"[0-9]+ fetched\."))).to_be_visible()


def open_from_queue(page: Page, person: str, eye: str) -> None:
    """Open one eye from the surgeon's queue."""
    page.get_by_role("link", name="Queue").click()
    row = page.get_by_role("listitem").filter(has_text=person).filter(has_text=eye)
    row.get_by_role("link").first.click()
    expect(page.get_by_role("heading", name=f"{eye}, {person}")).to_be_attached()
    expect(page.get_by_role("heading", name="Findings")).to_be_visible()


def see_cautions(page: Page) -> int:
    """Acknowledge each caution by itself; return how many there were."""
    for fold in page.locator("main details.more-findings").all():
        fold.evaluate("(element) => { element.open = true; }")
    unseen = page.get_by_role("button", name="I have seen this")
    number = unseen.count()
    for left in reversed(range(number)):
        unseen.first.click()
        expect(unseen).to_have_count(left)
    return number


def read_to_end(page: Page) -> None:
    """Scroll to the last lines."""
    page.locator("footer.bound").scroll_into_view_if_needed()


def open_approval(page: Page, eye: str) -> Approved:
    """Open the sheet of the last look and return what it shows."""
    page.get_by_role("button", name=f"Approve {eye.lower()}").click()
    sheet = page.get_by_role("dialog")
    sentence = sheet.locator(".sentence").inner_text()
    code = sheet.locator("code").inner_text().replace(" ", "")
    return Approved(eye, lens_of(sentence), sentence, code)


def confirm(page: Page, eye: str, passphrase: str = PASSPHRASE) -> None:
    """Give the passphrase and approve."""
    sheet = page.get_by_role("dialog")
    sheet.get_by_label("Your passphrase, again").fill(passphrase)
    sheet.get_by_role("button", name=f"Approve {eye.lower()}").click()


def approve(page: Page, eye: str) -> Approved:
    """See every caution, read to the end, approve; return what was approved."""
    see_cautions(page)
    read_to_end(page)
    approved = open_approval(page, eye)
    confirm(page, eye)
    expect(page.get_by_role("status").filter(has_text="Kept")).to_contain_text("approved")
    return approved


def lens_of(sentence: str) -> dict[str, object]:
    """Return the lens of a read-back in recorded integers: hundredths of a dioptre, micrometres."""
    found = SENTENCE.search(sentence)
    assert found, sentence
    axis = found["axis"]
    return {
        "model": found["model"],
        "sphere_cD": _hundredths(found["sphere"]),
        "cylinder_cD": _hundredths(found["cylinder"] or "0.00"),
        "axis_deg": None if axis is None else int(axis),
        "length_um": int(found["length"].replace(".", "")) * 10,
    }


def _hundredths(words: str) -> int:
    size = int(words.rsplit(maxsplit=1)[-1].replace(".", ""))
    return -size if words.startswith("minus") else size
