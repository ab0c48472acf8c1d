"""What stands between a surgeon and an approval, and can't be talked away."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.phone import Launch, Phone
from tests.journey import deciding
from tests.journey.desk import Desk
from tests.journey.measuring import answer

pytestmark = pytest.mark.browser

WHY = "Repeat scans agree; the person knows the risk and will be followed every three months."


@pytest.fixture
def surgeon(launch: Launch) -> Phone:
    """Give Dr Verrill's phone."""
    return launch("surgeon")


@pytest.fixture
def case(surgeon: Phone) -> Page:
    """Give its tab, signed in."""
    return surgeon.sign_in("verrill")


# The waits between wrong passphrases come to five minutes; a test may set the last one back.
NO_WAIT = """async () => {
  const done = (request) => new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
  const database = await done(indexedDB.open("lampside"));
  const store = database.transaction("identities", "readwrite").objectStore("identities");
  for (const row of await done(store.getAll())) await done(store.put({ ...row, lastTryMs: 0 }));
  database.close();
}"""


def test_ten_wrong_passphrases_lock_until_somebody_of_the_phone_lets_the_person_in(
    surgeon: Phone, case: Page
) -> None:
    """The right one no longer helps; the network and the other person of the phone do."""
    name, eye = "Elke Strand", "Right eye"
    surgeon.sign_in_beside(case, "marsh", "Dr S. Verrill")
    surgeon.sign_in_beside(case, "verrill", None)
    deciding.open_from_queue(case, name, eye)
    deciding.see_cautions(case)
    deciding.read_to_end(case)
    deciding.open_approval(case, eye)
    for left in range(9, 0, -1):
        deciding.confirm(case, eye, "not the passphrase")
        expect(case.get_by_role("dialog")).to_contain_text(re.compile(f"\\b{left} tr(y|ies)"))
        case.evaluate(NO_WAIT)
    deciding.confirm(case, eye, "not the passphrase")
    expect(case.get_by_text("Ten wrong passphrases")).to_be_visible()
    expect(case.get_by_text(name)).to_have_count(0)
    expect(case.get_by_label("Passphrase", exact=True)).to_have_count(0)
    surgeon.sign_in_beside(case, "verrill", "Dr I. Marsh")
    deciding.open_from_queue(case, name, eye)
    deciding.approve(case, eye)


def test_a_fixed_stop_can_not_be_approved(launch: Launch, case: Page) -> None:
    """A question that nobody asked is no answer: there isn't even a field for a reason."""
    name = "Sanna Orrin"
    expect(case.get_by_role("listitem").filter(has_text=name).first).to_be_visible()
    page = launch("camp").sign_in("ambler", "Saltpan camp")
    page.get_by_role("link", name=name).click()
    page.get_by_role("link", name="Change").click()
    answer(page, "Same glasses strength for 12 months?", "Not asked")
    answer(page, "Wears contact lenses?", "No")
    answer(page, "Pregnant or nursing?", "No")
    answer(page, "Any eye disease or eye operation?", "No")
    page.get_by_label("Why the answers change").fill("I had taken the answer from an old card.")
    page.get_by_role("button", name="Keep the answers").click()
    page.wait_for_url("**/#/person/*")
    page.get_by_role("link", name="Back to").first.click()
    deciding.exchange(page)
    deciding.exchange(case)
    deciding.open_from_queue(case, name, "Left eye")
    expect(case.get_by_text("Nobody can override this.").first).to_be_visible()
    button = case.get_by_role("button", name="A stop stands that nobody can override")
    expect(button).to_have_attribute("aria-disabled", "true")
    button.click(force=True)
    expect(case.get_by_role("dialog")).to_have_count(0)


def test_a_shallow_chamber_needs_a_reason_that_is_printed(case: Page, desk: Desk) -> None:
    """Rule D03: below the limit only with words of the surgeon's own, which the sheet repeats."""
    name, eye = "Elke Strand", "Left eye"
    deciding.open_from_queue(case, name, eye)
    deciding.see_cautions(case)
    deciding.read_to_end(case)
    expect(case.get_by_role("button", name="Give 1 reason first")).to_be_visible()
    reason = case.get_by_label("Your reason for going on in spite of this stop")
    reason.fill("ok")
    expect(case.get_by_role("button", name="Give 1 reason first")).to_be_visible()
    reason.fill(WHY)
    deciding.approve(case, eye)
    case.get_by_role("link", name="Back to").first.click()
    deciding.exchange(case)
    desk.sign_in()
    desk.open_case(name, eye.lower())
    desk.place_order()
    expect(desk.page.get_by_text("This order stands")).to_be_visible()
    paper = re.sub(r"\s+", " ", desk.print_sheet())
    assert WHY in paper
    assert "Stop D03.shallow" in paper
    overridden = {one["code"]: one["override_reason"] for one in desk.order_json()["findings"]}
    assert overridden["D03.shallow"] == WHY
