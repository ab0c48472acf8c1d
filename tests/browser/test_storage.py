"""What is typed and saved on a phone survives the network, the battery and a second tab."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base, captive_portal
from tests.browser.phone import (
    Launch,
    Phone,
    keep_person,
    send_until_asked,
    type_person,
    wait_for_draft,
)

pytestmark = pytest.mark.browser

NAME = "Ilse Hartnoll"
Ready = tuple[Phone, Page]


@pytest.fixture
def ready(launch: Launch) -> Ready:
    """Return the camp's phone, signed in and with all it needs to work without the network."""
    phone = launch("camp")
    page = phone.sign_in("ambler", "Saltpan camp")
    phone.wait_until_offline_ready(page)
    return phone, page


class TestKilledBrowser:
    """The battery is empty in the middle of work."""

    def test_a_person_kept_offline_is_there_afterwards_and_arrives(
        self, base: Base, ready: Ready
    ) -> None:
        """Registered without a server, killed, started without a server, sent when it is back."""
        phone, page = ready
        base.stop()
        keep_person(page, NAME)
        phone.kill()
        phone.relaunch()
        page = phone.open_unlocked("#/people")
        expect(page.get_by_role("link", name=NAME)).to_contain_text("1 waiting")
        base.start()
        # The battery took the session with it, so the base asks who this is.
        phone.context.clear_cookies()
        page.get_by_role("link", name="Outbox").click()
        send_until_asked(page)
        phone.give_passphrase(page, "ambler")
        row = page.get_by_role("link", name=NAME)
        expect(row).to_be_visible()
        expect(row).not_to_contain_text("waiting")

    def test_what_was_being_typed_is_still_there(self, ready: Ready) -> None:
        """A half-filled form comes back as it was, and nothing of it was saved as a person."""
        phone, page = ready
        page.get_by_role("link", name="Add a person").click()
        type_person(page, NAME)
        wait_for_draft(page, lambda: page.get_by_label("Camp code").fill("SP-ILS"))
        phone.kill()
        phone.relaunch()
        page = phone.open_unlocked("#/new-person")
        expect(page.get_by_label("Name", exact=True)).to_have_value(NAME)
        page.get_by_role("button", name="Keep this person").click()
        page.wait_for_url("**/#/person/*")


class TestTwoTabs:
    """The same person works in two tabs of one phone."""

    def test_both_tabs_write_one_chain_that_the_base_takes(
        self, base: Base, launch: Launch
    ) -> None:
        """Saved at the same moment in both tabs, the base acknowledges both."""
        phone = launch("camp")
        first = phone.sign_in("ambler", "Saltpan camp")
        second = phone.open_unlocked("#/people")
        tabs = [(first, "Oda Brandreth"), (second, "Wen Castellan")]
        for page, name in tabs:
            page.goto(f"{base.address}/app/#/new-person")
            # The second tab finds the first one's draft; each then types its own name.
            type_person(page, name)
        for page, _name in tabs:
            page.get_by_role("button", name="Keep this person").evaluate("(key) => key.click()")
        for page, _name in tabs:
            page.wait_for_url("**/#/person/*")
        first.goto(f"{base.address}/app/#/people")
        for _page, name in tabs:
            row = first.get_by_role("link", name=name)
            expect(row).to_be_visible()
            expect(row).not_to_contain_text("waiting")


class TestOtherNetwork:
    """The phone is in a guest house whose network answers for everybody."""

    def test_its_sign_in_page_is_named_and_nothing_is_lost(self, base: Base, ready: Ready) -> None:
        """The app opens from the phone, says who answered, and the record goes on waiting."""
        _, page = ready
        base.stop()
        with captive_portal(base.port):
            keep_person(page, NAME)
            page.goto(f"{base.address}/app/#/outbox")
            page.get_by_role("button", name="Send and fetch now").click()
            answered = "Something other than the base hospital answered"
            expect(page.get_by_text(answered).first).to_be_visible()
            page.goto(f"{base.address}/app/#/people")
            expect(page.get_by_role("link", name=NAME)).to_contain_text("1 waiting")


class TestPassphraseOffline:
    """Signing out and in again with no network."""

    def test_the_right_passphrase_opens_the_phone_and_a_wrong_one_does_not(
        self, base: Base, ready: Ready
    ) -> None:
        """The check needs no server, counts wrong tries, and shows nobody's work meanwhile."""
        _, page = ready
        base.stop()
        page.get_by_role("link", name="Me", exact=True).click()
        page.get_by_role("button", name="Sign out").click()
        page.get_by_label("Passphrase").fill("not this one")
        page.get_by_role("button", name="Work on this phone").click()
        expect(page.get_by_text("9 tries are left")).to_be_visible()
        page.get_by_label("Passphrase").fill("tern islands demo")
        page.get_by_role("button", name="Work on this phone").click()
        expect(page.get_by_role("link", name="Add a person")).to_be_visible()
