"""What browser tests share: a server with the demo's data, and phones closed afterwards."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Playwright, expect, sync_playwright

from tests.browser.base import Base
from tests.browser.phone import PATIENCE_MS, Launch, Phone
from webapp.settings import BUILT


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """Give the one Playwright of the run."""
    expect.set_options(timeout=PATIENCE_MS)
    with sync_playwright() as running:
        yield running


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a copy of the browser's files, which a build in between leaves alone."""
    copied = tmp_path_factory.mktemp("built") / "built"
    shutil.copytree(BUILT, copied)
    return copied


@pytest.fixture(scope="session")
def demo_data(tmp_path_factory: pytest.TempPathFactory, built: Path) -> Path:
    """Make the demo's data once; each test works on a copy."""
    data_dir = tmp_path_factory.mktemp("demo")
    first = Base(data_dir, built)
    first.start()
    first.stop()
    return data_dir


@pytest.fixture
def base(demo_data: Path, built: Path, tmp_path: Path) -> Iterator[Base]:
    """Give a running server with its own copy of the demo's data."""
    data_dir = tmp_path / "data"
    shutil.copytree(demo_data, data_dir)
    running = Base(data_dir, built)
    running.start()
    yield running
    running.stop()


@pytest.fixture
def launch(playwright: Playwright, base: Base, tmp_path: Path) -> Iterator[Launch]:
    """Give a function that takes a phone into use; no phone may have complained."""
    phones: list[Phone] = []

    def launched(name: str, *flags: str) -> Phone:
        phones.append(Phone(playwright, tmp_path / name, base.address, flags))
        return phones[-1]

    yield launched
    for phone in phones:
        phone.close()
    assert [problem for phone in phones for problem in phone.problems] == []
