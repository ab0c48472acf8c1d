"""Finding a browser for the tests: what counts as one, and what is said when there is none."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests import chromium
from webapp.bootstrap import SetUpFailed


@pytest.fixture
def bare_machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Give a machine whose only programs are those put into the folder returned."""
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setenv("PLAYWRIGHT_BROWSERS_PATH", str(tmp_path / "browsers"))
    chromium._working.cache_clear()
    yield tmp_path
    chromium._working.cache_clear()


def program(path: Path, exit_code: int) -> Path:
    """Write a program that ends with the given code."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(f"#!/bin/sh\nexit {exit_code}\n", encoding="ascii")
    path.chmod(0o755)
    return path


class TestFind:
    """The browser to launch."""

    def test_one_that_starts_is_taken(self, bare_machine: Path) -> None:
        """A Chromium on the path that starts is the one."""
        wanted = program(bare_machine / "chromium", 0)
        assert chromium.find() == str(wanted)

    def test_the_build_without_a_window_comes_first(self, bare_machine: Path) -> None:
        """It is the same engine and costs less; the full one is taken where it does not start."""
        full = program(bare_machine / "chromium", 0)
        wanted = program(bare_machine / "chromium-headless-shell", 0)
        assert chromium.find() == str(wanted)
        program(wanted, 1)
        chromium._working.cache_clear()
        assert chromium.find() == str(full)

    def test_an_empty_shell_is_passed_over(self, bare_machine: Path) -> None:
        """A command that only says where to get the browser does not count."""
        program(bare_machine / "chromium", 1)
        wanted = program(bare_machine / "browsers" / "chromium-1" / "chrome-linux" / "chrome", 0)
        assert chromium.find() == str(wanted)

    def test_none_is_a_failure_and_never_a_skip(self, bare_machine: Path) -> None:
        """Without a browser the tests that need one fail, and the message says how to get it."""
        with pytest.raises(SetUpFailed, match="python3 -m tests browser"):
            chromium.find()


class TestEnsure:
    """Fetching one."""

    def test_stops_at_the_first_that_works(
        self, bare_machine: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Once the system's package brought a browser, Playwright is not asked."""
        asked: list[str] = []
        system = bare_machine / "chromium"
        monkeypatch.setattr(chromium, "_from_debian", lambda: program(system, 0))
        monkeypatch.setattr(chromium, "_from_playwright", lambda: asked.append("playwright"))
        chromium.ensure()
        assert chromium.find() == str(system)
        assert asked == []

    def test_a_full_browser_does_where_the_other_is_not_to_be_had(
        self, bare_machine: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Without a network, or on another system, the browser that is there is good enough."""
        asked: list[str] = []
        full = program(bare_machine / "chromium", 0)
        monkeypatch.setattr(chromium, "_from_debian", lambda: asked.append("debian"))
        monkeypatch.setattr(chromium, "_from_playwright", lambda: asked.append("playwright"))
        chromium.ensure()
        assert chromium.find() == str(full)
        assert asked == ["debian"]

    def test_says_what_to_do_when_nothing_helped(
        self, bare_machine: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """When both ways fail, the message names the two commands to try by hand."""
        monkeypatch.setattr(chromium, "_from_debian", lambda: None)
        monkeypatch.setattr(chromium, "_from_playwright", lambda: None)
        with pytest.raises(SetUpFailed, match=r"apt-get install chromium.*playwright install"):
            chromium.ensure()
