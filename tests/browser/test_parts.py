"""Parts of the app in a real browser: kept by whoever uses them, and only those of this release."""

import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch

pytestmark = pytest.mark.browser


def expect_missing(page: Page) -> None:
    """The page says what is not here and what to do."""
    expect(page.get_by_role("alert")).to_contain_text(
        "“Theatre and surgery” are not on this device"
    )


def with_another_part(built: Path, folder: Path) -> Path:
    """Return a copy of the built files in which the part is of another release."""
    made = folder / "another"
    shutil.copytree(built, made)
    for path in made.glob("assets/theatre-*.js*"):
        path.unlink()
    for path in built.glob("assets/theatre-*.js"):
        text = "document.title = 'another release'; export const ROUTES = [];"
        (made / "assets" / path.name).write_text(text, encoding="ascii")
    return made


class TestParts:
    """The part for the theatre."""

    def test_is_kept_for_a_surgeon_by_itself_and_opens_with_no_network(
        self, base: Base, launch: Launch
    ) -> None:
        """Nobody opened it before; Me says that it is kept, and it opens after a cold start."""
        phone = launch("surgeon")
        page = phone.sign_in("verrill")
        page.goto(f"{base.address}/app/#/me")
        expect(page.get_by_text("Pages “Theatre and surgery”: kept on this device")).to_be_visible()
        base.stop()
        phone.close()
        phone.relaunch()
        page = phone.open_unlocked("#/theatre")
        expect(page.get_by_role("heading", name="Theatre", level=1)).to_be_focused()
        expect(page.get_by_role("alert")).to_have_count(0)
        expect(page.get_by_text("Opening these pages")).to_have_count(0)

    def test_is_fetched_when_opened_and_never_of_another_release(
        self, base: Base, launch: Launch, tmp_path: Path
    ) -> None:
        """Where it is not used by role: not here, not another one in its place, then kept."""
        phone = launch("camp")
        page = phone.sign_in("ambler", "Saltpan camp")
        phone.wait_until_offline_ready(page)
        page.reload()
        page.get_by_label("Passphrase", exact=True).wait_for()
        ours = base.built_dir
        base.stop()
        page = phone.open_unlocked("#/theatre")
        expect_missing(page)
        base.built_dir = with_another_part(ours, tmp_path)
        base.start()
        page.get_by_role("button", name="Try again").click()
        expect_missing(page)
        assert page.title() != "another release"
        base.stop()
        base.built_dir = ours
        base.start()
        page.get_by_role("button", name="Try again").click()
        expect(page.get_by_role("alert")).to_have_count(0)
        expect(page.get_by_text("Opening these pages")).to_have_count(0)
        page.goto(f"{base.address}/app/#/me")
        expect(page.get_by_text("Pages “Theatre and surgery”: kept on this device")).to_be_visible()
