"""A pytest plugin by which several runs of the same tests share them out: each test runs in one.

``-p tests.shared_out --claims FOLDER``: whoever makes a test's file in the folder first runs it, so
that no run waits while another has a queue. Each run claims one test ahead, since pytest keeps what
that one still needs.
"""

import hashlib
from collections.abc import Iterator
from pathlib import Path

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    """Take the folder."""
    parser.addoption("--claims", type=Path, required=True, help="where runs claim their tests")


def pytest_runtestloop(session: pytest.Session) -> bool:
    """Run the tests that this run claims, in pytest's own way."""
    if session.testsfailed and not session.config.option.continue_on_collection_errors:
        raise session.Interrupted(f"{session.testsfailed} errors during collection")
    mine = _claimed(session.items, session.config.getoption("--claims"))
    item = next(mine, None)
    while item is not None:
        following = next(mine, None)
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
        if session.shouldfail or session.shouldstop:
            raise session.Failed(session.shouldfail or session.shouldstop)
        item = following
    return True


def _claimed(items: list[pytest.Item], folder: Path) -> Iterator[pytest.Item]:
    for item in items:
        try:
            (folder / hashlib.sha256(item.nodeid.encode()).hexdigest()).touch(exist_ok=False)
        except FileExistsError:
            continue
        yield item
