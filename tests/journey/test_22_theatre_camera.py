"""The tablet's camera in theatre: what it sees fills the check; without one, typing does.

The film was made of a code that another program drew; it is read in Chromium with no network.
"""

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch, unlock
from tests.journey import boxes
from tests.journey import in_theatre as theatre
from tests.journey.desk import Desk
from tests.journey.pictures import CODES, y4m

pytestmark = pytest.mark.browser

CAMERA = "--use-fake-device-for-media-stream"
ALLOWED = "--use-fake-ui-for-media-stream"
REFUSED = "The camera cannot be used here."


def film(folder: Path, name: str) -> str:
    """Return the word that lets Chromium take a film of a code for its camera."""
    path = folder / "film.y4m"
    path.write_bytes(y4m(name))
    return f"--use-file-for-fake-video-capture={path}"


def to_the_box(base: Base, page: Page) -> None:
    """With no network, open the eye and come to the scanning of its box."""
    base.stop()
    page.reload()
    unlock(page)
    theatre.open_eye(page)
    theatre.say_who(page)
    page.get_by_role("button", name="To the box").click()


def test_the_camera_fills_the_check(base: Base, desk: Desk, launch: Launch, tmp_path: Path) -> None:
    """Seen by the camera, the box is beside the order; the camera goes off by itself."""
    desk.sign_in()
    theatre.release_box(desk)
    theatre.put_on_list(desk)
    _tablet, page = theatre.tablet_of_two(launch, CAMERA, ALLOWED, film(tmp_path, "right"))
    to_the_box(base, page)
    page.get_by_role("button", name="Scan the box", exact=True).click()
    expect(page.get_by_role("cell", name="SER9")).to_have_count(2)
    expect(page.locator("video")).to_be_hidden()
    assert page.evaluate("document.querySelector('video').srcObject") is None
    page.get_by_role("button", name="The box says the same").click()
    expect(page.get_by_text("the first check is kept")).to_be_visible()


def test_an_expired_box_stops_by_the_camera(
    base: Base, desk: Desk, launch: Launch, tmp_path: Path
) -> None:
    """What the camera sees is compared, not only shown."""
    desk.sign_in()
    theatre.release_box(desk)
    theatre.put_on_list(desk)
    _tablet, page = theatre.tablet_of_two(launch, CAMERA, ALLOWED, film(tmp_path, "expired"))
    to_the_box(base, page)
    page.get_by_role("button", name="Scan the box", exact=True).click()
    theatre.stops(page, "Use by")


@pytest.mark.parametrize("flags", [(CAMERA,), ()], ids=["not allowed", "no camera"])
def test_without_a_camera_it_is_typed(
    base: Base, desk: Desk, launch: Launch, flags: tuple[str, ...]
) -> None:
    """A camera that is not there, or not allowed, is said; the code by a reader does as well."""
    desk.sign_in()
    theatre.release_box(desk)
    theatre.put_on_list(desk)
    _tablet, page = theatre.tablet_of_two(launch, *flags)
    to_the_box(base, page)
    page.get_by_role("button", name="Scan the box", exact=True).click()
    expect(page.get_by_text(REFUSED)).to_be_visible()
    expect(page.locator("video")).to_be_hidden()
    expect(page.get_by_role("button", name="Scan the box", exact=True)).to_be_enabled()
    page.locator("summary", has_text="No camera").click()
    page.get_by_label("By a reader at the cable").fill(CODES["right"]["read"])
    page.keyboard.press("Tab")
    expect(page.get_by_text("That was typed, not read off this box.")).to_be_visible()
    boxes.by_cable(page.get_by_label("By a reader at the cable"), CODES["right"]["read"])
    expect(page.get_by_role("cell", name="SER9")).to_have_count(2)
    expect(page.get_by_role("button", name="The box says the same")).to_be_enabled()
