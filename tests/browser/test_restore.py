"""The base's disk failed and an older copy was put back: the phones give back what it lost."""

import os
import shutil
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch, keep_person, unlock
from webapp.bootstrap import ROOT

pytestmark = pytest.mark.browser

PATIENCE_S = 60.0
BEFORE, AFTER, OFFLINE = "Ilse Hartnoll", "Oda Brandreth", "Wen Castellan"
PEOPLE = "SELECT COUNT(*) FROM journal WHERE kind = 'person.registered' AND person IN ({marks})"


def registered(base: Base, people: list[str]) -> int:
    """Return how many of these people are in the base's journal."""
    marks = ", ".join("?" for _ in people)
    connection = sqlite3.connect(base.data_dir / "lampside.sqlite3")
    try:
        return int(connection.execute(PEOPLE.format(marks=marks), people).fetchone()[0])
    finally:
        connection.close()


def person_on(page: Page) -> str:
    """Return the id of the person whose page this is."""
    return page.url.rpartition("/")[2]


def put_back(base: Base, copy: Path) -> None:
    """Put the copy in place of the data folder, as the README says, and tell the server so."""
    shutil.rmtree(base.data_dir)
    shutil.copytree(copy, base.data_dir)
    said = {
        "DATABASE_URL": f"sqlite:///{base.data_dir / 'lampside.sqlite3'}",
        "LAMPSIDE_DATA": str(base.data_dir),
        "LAMPSIDE_HOSTS": "localhost",
        "LAMPSIDE_SECRET_KEY_FILE": str(base.data_dir / "secret_key"),
    }
    words = [sys.executable, "-m", "webapp", "restored"]
    subprocess.run(words, cwd=ROOT, env={**os.environ, **said}, check=True, capture_output=True)


def send(page: Page, base: Base, people: list[str]) -> None:
    """Send and fetch until the base has all of these people, and nothing waits on the phone."""
    page.goto(page.url.split("#")[0] + "#/outbox")
    page.get_by_role("button", name="Send and fetch now").click()
    until = time.monotonic() + PATIENCE_S
    while registered(base, people) < len(people) and time.monotonic() < until:
        page.wait_for_timeout(100)
    assert registered(base, people) == len(people)
    expect(page.get_by_text("Everything has arrived.")).to_be_visible()


def test_two_phones_give_back_what_an_older_copy_has_lost(
    base: Base, launch: Launch, tmp_path: Path
) -> None:
    """One phone gives back what it only fetched, the other what it had not sent."""
    camp, surgeon = launch("camp"), launch("surgeon")
    at_camp = camp.sign_in("ambler", "Saltpan camp")
    at_surgeon = surgeon.sign_in("verrill")
    camp.wait_until_offline_ready(at_camp)
    people = []
    keep_person(at_camp, BEFORE)
    people.append(person_on(at_camp))
    send(at_camp, base, people)

    base.stop()
    copy = tmp_path / "copy"
    shutil.copytree(base.data_dir, copy)
    base.start()
    keep_person(at_camp, AFTER)
    people.append(person_on(at_camp))
    send(at_camp, base, people)
    send(at_surgeon, base, people)
    at_surgeon.goto(f"{base.address}/app/#/people")
    expect(at_surgeon.get_by_role("link", name=AFTER)).to_be_visible()

    base.stop()
    keep_person(at_camp, OFFLINE)
    people.append(person_on(at_camp))
    camp.close()
    put_back(base, copy)
    assert registered(base, people) == 1
    base.start()
    send(at_surgeon, base, people[:2])

    camp.relaunch()
    at_camp = camp.open_unlocked("#/people")
    send(at_camp, base, people)
    at_surgeon.reload()
    unlock(at_surgeon)
    for page in (at_camp, at_surgeon):
        page.goto(page.url.split("#")[0] + "#/people")
        for name in (BEFORE, AFTER, OFFLINE):
            row = page.get_by_role("link", name=name)
            expect(row).to_be_visible()
            expect(row).not_to_contain_text("waiting")
