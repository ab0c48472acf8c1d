"""The browser's packages: fetched when the lock file changed, and the checks' own ones kept."""

import json
import subprocess
from pathlib import Path

import pytest

from webapp.asset_build import node

OMIT = "--omit=dev"


@pytest.fixture
def fetched(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
    """Give the commands that would fetch; packages and lock file are in an empty folder."""
    commands: list[list[str]] = []

    def noted(command: list[str], **_more: object) -> subprocess.CompletedProcess[str]:
        commands.append(command)
        return subprocess.CompletedProcess(command, 0, "", "")

    monkeypatch.setattr(node, "STATIC", tmp_path)
    monkeypatch.setattr(node, "STAMP", tmp_path / "stamp.json")
    monkeypatch.setattr(subprocess, "run", noted)
    lock(tmp_path, "one")
    return commands


def lock(folder: Path, version: str) -> None:
    """Write a lock file."""
    (folder / "package-lock.json").write_text(json.dumps({"version": version}), encoding="utf-8")


@pytest.mark.parametrize("with_checks", [True, False])
def test_nothing_is_fetched_twice(fetched: list[list[str]], with_checks: bool) -> None:
    """The same lock file and the same wish: npm is asked once."""
    node.bring_packages_up_to_date(with_checks)
    node.bring_packages_up_to_date(with_checks)
    assert [OMIT in command for command in fetched] == [not with_checks]


def test_checks_need_more_than_a_build(fetched: list[list[str]]) -> None:
    """After a build, the checks fetch what they need; a build after them nothing."""
    node.bring_packages_up_to_date()
    node.bring_packages_up_to_date(with_checks=True)
    node.bring_packages_up_to_date()
    assert [OMIT in command for command in fetched] == [True, False]


def test_a_build_keeps_the_packages_of_the_checks(fetched: list[list[str]], tmp_path: Path) -> None:
    """With another lock file a build fetches anew, all that was there before."""
    node.bring_packages_up_to_date(with_checks=True)
    lock(tmp_path, "two")
    node.bring_packages_up_to_date()
    node.bring_packages_up_to_date(with_checks=True)
    assert [OMIT in command for command in fetched] == [False, False]


@pytest.mark.parametrize("stamp", ["", "[]", "no stamp"])
def test_a_broken_note_fetches_anew(fetched: list[list[str]], tmp_path: Path, stamp: str) -> None:
    """What was installed is not known then."""
    (tmp_path / "stamp.json").write_text(stamp, encoding="utf-8")
    node.bring_packages_up_to_date()
    assert [OMIT in command for command in fetched] == [True]
