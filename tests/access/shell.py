"""Commands as they are typed at the server's shell, and what they find around them there."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.hospital import Hospital
from webapp import at_server as frame
from webapp.demo_people import PASSPHRASE
from webapp.settings import Settings

SECRET = "s" * 32
Command = Callable[[list[str]], int]


def environment(tmp_path: Path, **changed: str) -> dict[str, str]:
    """Return what a real server reads, with some of it changed; an empty text removes it."""
    whole = {
        "DATABASE_URL": f"sqlite:///{tmp_path}/lampside.sqlite3",
        "LAMPSIDE_DATA": str(tmp_path),
        "LAMPSIDE_SECRET_KEY": SECRET,
        "LAMPSIDE_HOSTS": "eyes.example",
        **changed,
    }
    return {name: value for name, value in whole.items() if value}


def use(monkeypatch: pytest.MonkeyPatch, settings: Settings) -> None:
    """Let every command find these settings in place of those of its environment."""
    monkeypatch.setattr(Settings, "from_environment", classmethod(lambda _cls: settings))


class Shell:
    """A terminal: what is typed ends well or is refused, and either says something."""

    def __init__(self, capsys: pytest.CaptureFixture[str]) -> None:
        self._capsys = capsys

    def done(self, command: Command, *words: object) -> str:
        """Type a command that must end with 0; return what it says."""
        assert command([str(word) for word in words]) == 0
        return self._capsys.readouterr().out

    def refused(self, command: Command, *words: object) -> str:
        """Type a command that must end with 1; return what it says on standard error."""
        assert command([str(word) for word in words]) == 1
        return self._capsys.readouterr().err


@pytest.fixture
def shell(capsys: pytest.CaptureFixture[str]) -> Shell:
    """Return a terminal."""
    return Shell(capsys)


@pytest.fixture
def at_server(hospital: Hospital, monkeypatch: pytest.MonkeyPatch) -> Hospital:
    """Let the commands find this hospital, and type the demo's passphrase where one is asked."""
    use(monkeypatch, hospital.settings)
    monkeypatch.setattr(frame, "ask_for", lambda _name: PASSPHRASE)
    return hospital
