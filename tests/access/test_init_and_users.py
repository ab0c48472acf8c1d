"""Preparing an installation, then its accounts, as typed at a shell."""

from pathlib import Path

import pytest

from tests.access.shell import Shell, environment, use
from webapp import at_server, initialise, users
from webapp.flow import people
from webapp.settings import Settings
from webapp.store import accounts, database, migrations

PASS = "six otters row home"
INIT = ("--site", "base=Base hospital", "--site", "camp=Camp", "--administrator", "rook", "--name",
        "A. Rook")  # fmt: skip
SURGEON = ("add", "Verrill", "--name", "Dr S. Verrill", "--role", "surgeon@camp")


@pytest.fixture(autouse=True)
def _at_a_new_server(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An empty folder; every passphrase that is asked for is a good one."""
    use(monkeypatch, Settings.from_environment(environment(tmp_path)))
    for module in (initialise, users):
        monkeypatch.setattr(module, "ask_passphrase", lambda: PASS)
    monkeypatch.setattr(at_server, "ask_for", lambda _name: PASS)


def new(sign_in_name: str, role: str) -> tuple[str, ...]:
    """Return the words that add somebody with a role."""
    return ("add", sign_in_name, "--name", "X", "--role", role)


def test_from_nothing_to_a_surgeon(shell: Shell) -> None:
    """init, a second administrator, then both make a surgeon; a second init changes nothing."""
    shell.done(initialise.main, *INIT)
    assert "prepared already" in shell.refused(initialise.main, *INIT)
    assert "there is one. Make the second first" in shell.refused(users.main, *SURGEON)
    second = ("add", "teal", "--name", "P. Teal", "--role", "administrator@base")
    shell.done(users.main, *second)
    shell.refused(users.main, *new("third", "administrator@base"))
    shell.refused(users.main, *SURGEON, "--by", "rook", "--by", "Rook")
    shell.refused(users.main, *SURGEON, "--by", "rook", "--by", "nobody")
    by_two = (*SURGEON, "--by", "rook", "--by", "teal")
    shell.done(users.main, *by_two)
    shell.refused(users.main, *by_two)
    shell.refused(users.main, *new("x y", "surgeon@camp"))
    shell.refused(users.main, *new("quill", "surgeon@nowhere"))
    shell.refused(users.main, *new("quill", "wizard@camp"))
    shell.done(users.main, "passphrase", "verrill")
    shell.refused(users.main, "passphrase", "nobody")
    assert shell.done(users.main, "list") == (
        "rook  A. Rook  administrator@base\nverrill  Dr S. Verrill  surgeon@camp\n"
        "teal  P. Teal  administrator@base\n"
    )
    with database.connection():
        (teal,) = [row.user_id for row in people.everyone() if row.sign_in_name == "teal"]
        accounts.set_active(teal, active=False)
    # Whoever types here could set teal's passphrase as well.
    shell.done(users.main, *new("third", "administrator@base"))


def test_a_short_passphrase_is_refused(shell: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is half prepared."""
    monkeypatch.setattr(initialise, "ask_passphrase", lambda: "short")
    assert "5 characters" in shell.refused(initialise.main, *INIT)
    with database.connection():
        assert not migrations.is_made()
