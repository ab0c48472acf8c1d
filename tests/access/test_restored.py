"""After an older copy of the database was put back: the command that begins another life."""

import os
from pathlib import Path

import pytest

from tests.access.shell import Shell, environment
from tests.hospital import Hospital
from webapp import restored
from webapp.flow import desk_key
from webapp.store import chains, database, devices, installation, journal


def test_begins_another_life(at_server: Hospital) -> None:
    """The epoch is raised, by which phones know that they must offer everything again."""
    with database.connection():
        before = installation.epoch()
    assert restored.main([]) == 0
    assert restored.main([]) == 0
    with database.connection():
        assert installation.epoch() >= before + 2


def test_the_desk_signs_with_a_new_key(at_server: Hospital) -> None:
    """Its next record takes no place of one that only the phones still hold."""
    old = desk_key.desk_key().kid
    assert restored.main([]) == 0
    with database.connection():
        at_server.adopt_reference()
        newest = journal.entries_of_kind("all", "limits.adopted")[0]
        assert newest.kid == desk_key.desk_key().kid != old
        assert chains.heads([newest.kid])[newest.kid][0] == 2
        assert devices.find(old) is not None
    assert len(list(at_server.settings.data_dir.glob("desk_key*.pem"))) == 2


def test_a_database_that_was_never_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, shell: Shell
) -> None:
    """The wrong file was put back: it is said, and nothing is made in it."""
    monkeypatch.setattr(os, "environ", environment(tmp_path))
    assert "The database is empty." in shell.refused(restored.main)
