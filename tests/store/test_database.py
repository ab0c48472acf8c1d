"""Naming the database, and refusing one that does not fit."""

import os
from pathlib import Path

import pytest

from tests.hospital import Hospital
from webapp.store import database, installation, migrations
from webapp.store.addresses import BadAddress, database_at
from webapp.store.migrations import WrongShape


class TestAddress:
    """``DATABASE_URL``."""

    @pytest.mark.parametrize(
        "url",
        [
            "",
            "x",
            "sqlite://",
            "sqlite:///",
            "mysql://h/db",
            "sqlite://host/file",
            "postgresql://h",
            "postgresql://h:x/db",
            "postgresql://h/db?sslmode=require",
        ],
    )
    def test_what_is_not_supported_is_said(self, url: str) -> None:
        """The sentence names the variable."""
        with pytest.raises(BadAddress, match="DATABASE_URL"):
            database.bind(url)

    def test_a_password_is_not_printed(self) -> None:
        """A wrong address goes to the terminal and perhaps to a log."""
        with pytest.raises(BadAddress) as said:
            database.bind("postgresql://rook:open-sesame@h:70000/db")
        assert "rook" in str(said.value)
        assert "sesame" not in str(said.value)

    def test_a_socket_folder_keeps_its_capitals(self) -> None:
        """Host names are lowered, a folder is not."""
        found = database_at("postgresql://rook@%2Fvar%2FRun/db")
        assert found.connect_params["host"] == "/var/Run"

    def test_a_path_may_hold_spaces(self, tmp_path: Path) -> None:
        """Percent signs in the address are read as in any other."""
        (tmp_path / "a b").mkdir()
        database.bind(f"sqlite:///{tmp_path}/a%20b/x.sqlite3")
        with database.connection():
            migrations.make_tables(1)
        assert (tmp_path / "a b" / "x.sqlite3").is_file()

    def test_a_new_file_is_its_owners_alone(self, tmp_path: Path) -> None:
        """It holds patients; SQLite gives the files beside it the same mode."""
        before = os.umask(0o022)
        try:
            database.bind(f"sqlite:///{tmp_path}/x.sqlite3")
            with database.connection():
                migrations.make_tables(1)
                modes = {path.name: path.stat().st_mode & 0o777 for path in tmp_path.iterdir()}
        finally:
            os.umask(before)
        assert modes == dict.fromkeys(("x.sqlite3", "x.sqlite3-wal", "x.sqlite3-shm"), 0o600)


class TestShape:
    """Tables of another version."""

    def test_an_empty_database_says_how_to_make_it(self, tmp_path: Path) -> None:
        """The sentence names the command."""
        database.bind(f"sqlite:///{tmp_path}/empty.sqlite3")
        with database.connection(), pytest.raises(WrongShape, match="webapp init"):
            migrations.check_shape()

    def test_another_version_is_refused(self, hospital: Hospital) -> None:
        """A newer program's database is not touched."""
        installation.Installation.update(shape=99).execute()
        with pytest.raises(WrongShape, match="99"):
            migrations.check_shape()

    def test_two_databases_have_two_epochs(self, hospital: Hospital) -> None:
        """A demo made again is not mistaken for the one before; a restore raises the epoch."""
        first = installation.epoch()
        assert installation.raise_epoch(first - 5) == first + 1
        assert installation.raise_epoch(first + 500) == first + 500
