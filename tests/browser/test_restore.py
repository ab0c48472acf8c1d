"""The base is put back to an older copy: two phones give back what was lost, each other's too."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch, keep_person
from webapp.bootstrap import ROOT
from webapp.settings import Settings
from webapp.store import database, installation, journal

pytestmark = pytest.mark.browser

SITE = "saltpan"
BEFORE, AFTER, ON_TWO = "Odd Before", "Ilse After", "Tove Second"


def ids_at_the_base(base: Base) -> list[str]:
    """Return the ids of the site's records in their order, read from the database itself."""
    database.bind(Settings.for_demo(base.data_dir).database_url)
    with database.connection():
        return [entry.id for entry in journal.entries_after(SITE, 0, 10_000)]


def epoch_of(base: Base) -> int:
    """Return the base's epoch."""
    database.bind(Settings.for_demo(base.data_dir).database_url)
    with database.connection():
        return installation.epoch()


def restored(base: Base) -> None:
    """Run the command that says that an older copy is in use."""
    settings = Settings.for_demo(base.data_dir)
    environment = {
        "DATABASE_URL": settings.database_url,
        "LAMPSIDE_DATA": str(base.data_dir),
        "LAMPSIDE_HOSTS": "localhost",
        "LAMPSIDE_SECRET_KEY": "s" * 40,
        "PATH": "/usr/bin:/bin",
    }
    words = [sys.executable, "-m", "webapp", "restored"]
    done = subprocess.run(
        words, cwd=ROOT, env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr


def copied(base: Base, folder: Path) -> None:
    """Copy the database of a stopped base."""
    folder.mkdir(exist_ok=True)
    for path in base.data_dir.glob("*.sqlite3*"):
        shutil.copy2(path, folder)


def put_back(base: Base, folder: Path) -> None:
    """Put the copy in the place of the database of a stopped base."""
    for path in base.data_dir.glob("*.sqlite3*"):
        path.unlink()
    for path in folder.iterdir():
        shutil.copy2(path, base.data_dir)


def exchange(page: Page) -> None:
    """Send and fetch by the outbox, from wherever the phone is."""
    page.goto(page.url.split("#")[0] + "#/outbox")
    page.get_by_role("button", name="Send and fetch now").click()
    expect(page.get_by_text(re.compile(r"[0-9]+ fetched\."))).to_be_visible()


def people_shown(page: Page) -> list[str]:
    """Return which of the test's people a phone shows at its camp."""
    page.goto(page.url.split("#")[0] + "#/people")
    expect(page.get_by_role("link", name=BEFORE)).to_be_visible()
    names = (BEFORE, AFTER, ON_TWO)
    return [name for name in names if page.get_by_role("link", name=name).count()]


def test_nothing_is_lost(base: Base, launch: Launch, tmp_path: Path) -> None:
    """Copy, more records on two phones, the copy put back, one exchange each: all is there again.

    Only the first phone is there at first: it gives back the second one's records as well.
    """
    one = launch("one").sign_in("ambler", "Saltpan camp")
    two = launch("two").sign_in("verrill")
    keep_person(one, BEFORE)
    exchange(one)
    base.stop()
    copied(base, tmp_path / "copy")
    base.start()
    keep_person(one, AFTER)
    exchange(one)
    before = ids_at_the_base(base)
    old_epoch = epoch_of(base)
    exchange(two)
    base.stop()
    put_back(base, tmp_path / "copy")
    restored(base)
    assert set(ids_at_the_base(base)) < set(before)
    assert epoch_of(base) > old_epoch
    base.start()
    exchange(two)
    assert set(ids_at_the_base(base)) == set(before)
    exchange(one)
    after = ids_at_the_base(base)
    assert sorted(after) == sorted(before)
    assert people_shown(one) == [BEFORE, AFTER]
    keep_person(one, ON_TWO)
    exchange(one)
    assert len(ids_at_the_base(base)) == len(before) + 1
