"""One hospital with one measured eye, kept as a folder and copied for each history.

Everything costly is done once: keys, enrolment, readings. What is slow on purpose (Argon2, waiting
for the disk) is switched off; nothing that judges a record is.
"""

import json
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple
from unittest import mock

from cryptography.hazmat.primitives.asymmetric import ec

from tests.answered import answers
from tests.hospital import ANSWERS, CATALOGUE, READINGS, WALL, demo_users, person_body
from webapp import initialise
from webapp.core import door, limits
from webapp.core_bundle import core_sha256
from webapp.demo_people import DEMO_PEOPLE, SITES
from webapp.flow import (
    accounts,
    calculation,
    clock,
    devices,
    folding,
    passphrases,
    receive,
    reference,
)
from webapp.flow.actor import Actor
from webapp.flow.receive import Receipt
from webapp.flow.throttle import Throttle
from webapp.records.envelope import digest_of, open_envelope, seal, to_base64url
from webapp.records.signing import DeskKey
from webapp.settings import Settings
from webapp.store import database, journal

SITE, EYE = "saltpan", "R"
PERSON = "0193a5c0-0000-7000-8000-00000000000a"
TEAM = {
    "camp": ("ambler", "optometrist"), "second_camp": ("ambler", "optometrist"),
    "one": ("verrill", "surgeon"), "two": ("marsh", "surgeon"), "three": ("hale", "surgeon"),
}  # fmt: skip
"""Name of a device -> who holds it, and in which role."""
SHM = Path("/dev/shm")  # noqa: S108 - memory where there is some; nothing secret is kept

Envelope = dict[str, str]
Body = dict[str, Any]


def actor(sign_in_name: str) -> Actor:
    """Return one of the demo's people, as if signed in."""
    one = next(person for person in DEMO_PEOPLE if person.sign_in_name == sign_in_name)
    return Actor(one.user_id, one.sign_in_name, one.name, tuple(one.roles), "127.0.0.1")


class Device:
    """A phone: its key, its chain, what it holds, and what the base has not acknowledged."""

    def __init__(self, name: str) -> None:
        holder, self.role = TEAM[name]
        self.name = name
        self.actor = actor(holder)
        # Always the same key, so that a history can be told again.
        number = 7 + list(TEAM).index(name)
        self.key = DeskKey(ec.derive_private_key(number, ec.SECP256R1()))
        self.kid = ""
        self.seq = 0
        self.prev: str | None = None
        self.held: dict[str, dict[str, Any]] = {}
        self.outbox: list[Envelope] = []

    def copy(self) -> "Device":
        """Return the same phone with lists of its own."""
        twin = object.__new__(Device)
        twin.__dict__.update(self.__dict__, held=dict(self.held), outbox=list(self.outbox))
        return twin

    def enrol(self) -> None:
        """Make the key known at the base."""
        self.kid = devices.enrol(self.actor, to_base64url(self.key.spki), self.name, at_once=True)

    def payload(self, kind: str, eye: str | None, body: Body, **changed: object) -> Body:
        """Return the next payload of this phone's chain."""
        return {
            "v": 1, "kind": kind, "person": PERSON, "eye": eye, "site": SITE,
            "author": self.actor.user_id, "role": self.role, "key": self.kid,
            "seq": self.seq + 1, "prev": self.prev, "wall": WALL, "replaces": None,
            "reason": None, "body": body, **changed,
        }  # fmt: skip

    def keep(self, kind: str, eye: str | None, body: Body, **changed: object) -> str:
        """Sign a record into the outbox, as a phone without a network does, and return its id."""
        payload = self.payload(kind, eye, body, **changed)
        envelope = seal(payload, self.key)
        record_id = open_envelope(envelope).id
        self.seq, self.prev = payload["seq"], record_id
        self.held[record_id] = {"id": record_id, "payload": payload, "received": None}
        self.outbox.append(envelope)
        return record_id

    def push(self, envelopes: list[Envelope]) -> list[Receipt]:
        """Hand records to the base."""
        return receive.push(self.actor, list(envelopes))

    def acknowledge(self, receipts: list[Receipt]) -> None:
        """Take what the base has out of the outbox; a refused record is kept apart and unused."""
        for receipt in receipts:
            self.outbox = [one for one in self.outbox if open_envelope(one).id != receipt.id]
            if receipt.result == "refused":
                self.held.pop(receipt.id, None)

    def pull(self) -> None:
        """Fetch everything about the person."""
        for entry in journal.entries_of_person(PERSON):
            self.held[entry.id] = calculation.as_entry(entry)

    def fold(self) -> dict[str, Any]:
        """Return the eye as this phone shows it."""
        return fold_of(list(self.held.values()))

    def known(self) -> dict[str, Body]:
        """Return every record that this phone holds, by id, as it was signed.

        Of revocations it has the base's newest, as its fold has.
        """
        return {one["id"]: one["payload"] for one in self.held.values()} | revocations()

    def plan(self, choice: dict[str, Any] | None = None, do: str = "plan") -> dict[str, Any]:
        """Return the plan as this phone shows it, or what it says of the lens in the eye."""
        return calculation.ask({
            "do": do, "entries": list(self.held.values()), "reference": folding.in_force(),
            "eye": EYE, "today": clock.today(), "core": core_sha256(), "choice": choice,
        })  # fmt: skip

    def approval_of(self, request: str, shown: dict[str, Any]) -> Body:
        """Return the body of an approval with every finding answered."""
        return {
            "request": request,
            "shown": shown,
            "digest": digest_of(shown),
            **answers(shown, WALL),
            "read_to_end": 1,
        }


def fold_of(entries: list[dict[str, Any]]) -> dict[str, Any]:
    """Return the right eye of the core's fold of these records."""
    asked = {
        "do": "fold", "entries": entries, "reference": folding.in_force(),
        "today": clock.today(), "core": core_sha256(),
    }  # fmt: skip
    eye: dict[str, Any] = calculation.ask(asked)["eyes"][EYE]
    return eye


def width_body(diameter_um: int) -> Body:
    """Return a white-to-white reading [um]."""
    return {"diameter_um": diameter_um, "device": "Caliper", "taken": WALL, "typed": {}}


class Kept(NamedTuple):
    """A history as it was at some moment: its folder, and its phones."""

    folder: Path
    devices: dict[str, Device]


class World:
    """The folder of a hospital in which an eye is measured, and the phones as they were then."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.settings = Settings.for_demo(folder)
        database.bind(self.settings.database_url)
        with database.connection():
            initialise.prepare(self.settings, list(SITES.items()), demo_users())
            body = {"title": "Test limits", "values": limits.defaults()}
            reference.adopt(actor("rook"), "catalogue.adopted", CATALOGUE)
            reference.adopt(actor("rook"), "limits.adopted", body)
            self.devices = {name: Device(name) for name in TEAM}
            for device in self.devices.values():
                device.enrol()
            self._measure(self.devices["camp"])
        database.database.close()

    def _measure(self, camp: Device) -> None:
        camp.keep("person.registered", None, person_body())
        camp.keep("history.answers", None, dict(ANSWERS))
        for kind, body in READINGS.items():
            camp.keep(kind, EYE, {**body, "taken": WALL, "typed": {}})
        camp.acknowledge(camp.push(camp.outbox))
        for device in self.devices.values():
            device.pull()

    @contextmanager
    def history(self, kept: "Kept | None" = None) -> Iterator[dict[str, Device]]:
        """Give a copy of the hospital to one history, and its phones.

        Args:
            kept: how far an earlier history had come when it was kept; None to begin anew.
        """
        begun = kept or Kept(self.folder, self.devices)
        self.place = Path(tempfile.mkdtemp(dir=SHM if SHM.is_dir() else None))
        try:
            shutil.copytree(begun.folder, self.place, dirs_exist_ok=True)
            database.bind(Settings.for_demo(self.place).database_url)
            with database.connection():
                database.connect()
                database.database.execute_sql("PRAGMA synchronous=OFF")
                yield {name: device.copy() for name, device in begun.devices.items()}
        finally:
            shutil.rmtree(self.place, ignore_errors=True)

    def keep(self, name: str, phones: dict[str, Device]) -> "Kept":
        """Keep the history that is open as it is now, for others that begin there."""
        database.database.execute_sql("PRAGMA wal_checkpoint(TRUNCATE)")
        folder = self.folder.parent / name.replace(" ", "_")
        shutil.copytree(self.place, folder)
        return Kept(folder, {name: phone.copy() for name, phone in phones.items()})


@contextmanager
def quick() -> Iterator[None]:
    """Leave out what is slow on purpose, and answer the same question to the core only once."""
    with (
        mock.patch.object(passphrases, "hash_new", lambda *_given, **_more: "unused"),
        mock.patch.object(passphrases, "matches", lambda *_given: True),
        mock.patch.object(accounts, "throttle", Throttle()),
        mock.patch.object(door, "call", lru_cache(maxsize=20_000)(door.call)),
    ):
        yield


@contextmanager
def world() -> Iterator[World]:
    """Make the hospital, and clear it away in the end."""
    with quick(), tempfile.TemporaryDirectory(dir=SHM if SHM.is_dir() else None) as folder:
        begun = Path(folder) / "begun"
        begun.mkdir()
        yield World(begun)


def payloads() -> dict[str, Body]:
    """Return every record of the person that the base has stored, by id, as it was signed.

    With them every revocation of a key.
    """
    entries = journal.entries_of_person(PERSON)
    return {entry.id: json.loads(entry.payload) for entry in entries} | revocations()


def revocations() -> dict[str, Body]:
    """Return every revocation of a key that the base has stored, by id, as it was signed."""
    entries = journal.entries_of_kind("all", "key.revoked")
    return {entry.id: json.loads(entry.payload) for entry in entries}
