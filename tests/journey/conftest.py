"""What journeys share: the base desk's own browser."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Playwright

from tests.browser.base import Base
from tests.chromium import find
from tests.journey.desk import Desk


@pytest.fixture(scope="session")
def desk_browser(playwright: Playwright) -> Iterator[Browser]:
    """Give the one browser at the base desk."""
    browser = playwright.chromium.launch(executable_path=find(), args=["--no-sandbox"])
    yield browser
    browser.close()


@pytest.fixture
def desk(desk_browser: Browser, base: Base) -> Iterator[Desk]:
    """Give the base desk, signed in to by nobody; its pages may not have complained."""
    one = Desk(desk_browser, base.address)
    yield one
    one.close()
    assert one.watch.problems == []
