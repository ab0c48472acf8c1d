"""The demo's data: made once, kept, and made anew when a start was interrupted."""

from pathlib import Path

import pytest

from tests.hospital import Client
from webapp import demo
from webapp.app import create_app
from webapp.demo_people import DEMO_PEOPLE
from webapp.settings import Settings
from webapp.store import database, installation


@pytest.fixture
def settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Settings:
    """Return the settings of a demo without its invented patients."""
    monkeypatch.setattr(demo, "FIXTURES", "no_such_module")
    return Settings.for_demo(tmp_path)


def epoch() -> int:
    """Return the epoch of the database in use."""
    with database.connection():
        return installation.epoch()


class TestMakeReady:
    """Before the first page."""

    def test_everybody_on_the_first_page_can_sign_in(self, settings: Settings) -> None:
        """Each name with the passphrase that the page shows, in the role that it names."""
        demo.make_ready(settings)
        app = create_app(settings)
        for one in DEMO_PEOPLE:
            answer = Client(app.test_client()).sign_in(one.sign_in_name)
            assert answer.status_code == 200, one
            roles = {(held["role"], held["site"]) for held in answer.json["user"]["roles"]}
            assert roles == {(one.role, site) for site in one.at}

    def test_is_kept_from_one_start_to_the_next(self, settings: Settings) -> None:
        """A second start finds the same database."""
        demo.make_ready(settings)
        first = epoch()
        with database.connection():
            installation.raise_epoch(first + 1000)
        demo.make_ready(settings)
        assert epoch() == first + 1000

    def test_is_made_anew_after_an_interrupted_start(
        self, settings: Settings, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Half a demo is never shown as a whole one."""

        def fail(name: str) -> None:
            raise KeyboardInterrupt

        with monkeypatch.context() as broken:
            broken.setattr(demo, "find_spec", fail)
            with pytest.raises(KeyboardInterrupt):
                demo.make_ready(settings)
        demo.make_ready(settings)
        assert epoch() > 0

    def test_an_old_demo_says_how_to_begin_anew(
        self, settings: Settings, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """Data of another version are not touched; the folder to delete is named."""
        demo.make_ready(settings)
        with database.connection():
            installation.Installation.update(shape=0).execute()
        assert demo.run(settings.data_dir, None, open_browser=False) == 1
        assert f"delete {settings.data_dir}" in capsys.readouterr().err
