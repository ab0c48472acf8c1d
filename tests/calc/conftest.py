"""The command in this process: what is typed, the exit code, and what was printed."""

import io
import sys
from collections.abc import Callable

import pytest

from webapp import calc

Run = Callable[..., tuple[int, str]]


class Typed:
    """A standard input that holds these bytes."""

    def __init__(self, raw: bytes) -> None:
        self.buffer = io.BytesIO(raw)


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run the command in this process; return its exit code and what it printed."""

    def call(raw: str | bytes, *words: str) -> tuple[int, str]:
        typed = raw.encode() if isinstance(raw, str) else raw
        monkeypatch.setattr(sys, "stdin", Typed(typed))
        code = calc.main(list(words))
        return code, capsys.readouterr().out

    return call
