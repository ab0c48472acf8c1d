"""Starting the server: what is missing is said in one sentence, and nothing is half started."""

import errno
import os
from pathlib import Path

import pytest

from tests.access.shell import Shell, environment
from webapp import demo, serve, users
from webapp.settings import Settings, SettingsMissing
from webapp.store import migrations


class TestServe:
    """Starting the real server."""

    def test_refuses_with_one_sentence(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """Nothing is started, the reason stands on standard error, and the exit code is 1."""
        monkeypatch.setattr(os, "environ", environment(tmp_path, DATABASE_URL=""))
        assert serve.run([]) == 1
        assert capsys.readouterr().err == "Not started. " + (
            "DATABASE_URL is not set; it names the database, sqlite:////path.\n"
        )

    def test_refuses_an_empty_database(self, tmp_path: Path) -> None:
        """A server with no accounts would be of no use; the sentence names the command."""
        (tmp_path / "built").mkdir()
        (tmp_path / "built" / "manifest.json").write_text('{"addresses": {"css": "/a"}}')
        settings = Settings.from_environment(environment(tmp_path))
        with pytest.raises(migrations.WrongShape, match="webapp init"):
            serve.ready_app(settings._replace(built_dir=tmp_path / "built"))

    def test_refuses_without_the_browsers_files(self, tmp_path: Path) -> None:
        """A phone would get an empty page."""
        settings = Settings.from_environment(environment(tmp_path))
        with pytest.raises(SettingsMissing, match="webapp build"):
            serve.ready_app(settings._replace(built_dir=tmp_path / "nothing"))

    def test_refuses_a_database_that_cannot_be_opened(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, shell: Shell
    ) -> None:
        """A folder that is not there, and a file that is no database: one sentence each."""
        (tmp_path / "text").write_text("only words, enough of them to fill a page\n" * 40)
        for path in (tmp_path / "nowhere" / "x.sqlite3", tmp_path / "text"):
            url = f"sqlite:///{path}"
            monkeypatch.setattr(os, "environ", environment(tmp_path, DATABASE_URL=url))
            assert "DATABASE_URL cannot be opened: " in shell.refused(users.main, "list")

    def test_a_taken_port_is_said(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """One sentence, and no hint to delete the demo's data, which are not at fault."""

        def taken(*_app: object, **_how: object) -> None:
            raise OSError(errno.EADDRINUSE, "Address already in use")

        monkeypatch.setattr(serve, "create_server", taken)
        monkeypatch.setattr(demo, "FIXTURES", "no_such_module")
        assert demo.run(tmp_path, 8000, open_browser=False) == 1
        assert capsys.readouterr().err == (
            "Not started. Nothing can listen on 127.0.0.1:8000: Address already in use. "
            "Choose another.\n"
        )
