"""Who goes on to another page before one has opened is not thrown back to it."""

import pytest
from playwright.sync_api import expect

from demo_fixtures.people import PEOPLE
from tests.browser.phone import Launch

pytestmark = pytest.mark.browser

GO_ON = """([person, wait]) => new Promise((done) => {
    const goOn = () => { location.hash = "#/outbox"; setTimeout(done, 400); };
    location.hash = `#/person/${person}`;
    setTimeout(goOn, wait);
})"""


def test_a_person_left_at_once_stays_left(launch: Launch) -> None:
    """The page of a person asks the store where they are registered before it opens."""
    page = launch("camp").sign_in("ambler", "Saltpan camp")
    # How long the store takes to answer is not known: go on at each of many moments.
    for wait_ms in range(0, 30):
        page.evaluate("location.hash = '#/people'")
        expect(page.get_by_role("link", name="Add a person")).to_be_visible()
        page.evaluate(GO_ON, [PEOPLE[0].person, wait_ms])
        assert page.url.endswith("#/outbox")
        expect(page.get_by_role("heading", name="Outbox")).to_be_visible()
