"""The base hospital: the server's own receiving, pulling and ordering, on a database in memory.

Copied and put back in a moment, so that each history begins anew and a restore costs nothing.
What is replaced: the clock, and Argon2 at the desk. What is remembered: a signature checked once
in a history is not checked twice, and the core's answer to the very same question is kept; both
are pure functions.
"""

import json
import sqlite3
import tempfile
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Any

from cryptography.hazmat.primitives.asymmetric import ec
from peewee import SqliteDatabase

from tests.hospital import CATALOGUE
from tests.simulation import remembered
from webapp import initialise
from webapp.core import limits
from webapp.core_bundle import core_sha256
from webapp.demo_people import DEMO_PEOPLE, PASSPHRASE, SITES
from webapp.flow import (
    accounts,
    calculation,
    clock,
    desk_key,
    devices,
    folding,
    key_authority,
    passphrases,
    reference,
)
from webapp.flow.actor import Actor
from webapp.flow.key_authority import Revocation
from webapp.flow.people import NewUser
from webapp.flow.refusal import Refused
from webapp.records.envelope import to_base64url
from webapp.records.signing import DeskKey
from webapp.settings import Settings
from webapp.store import database, installation, journal
from webapp.store import devices as store_devices

write = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode
START = datetime(2026, 11, 25, 4, 45, 12, tzinfo=UTC)
DAY_S = 86_400
FIRST_SECRET = 1_000_003


class Now:
    """The base's clock: it only moves when the history moves it."""

    seconds = 0.0

    @classmethod
    def read(cls) -> datetime:
        """Return the present moment."""
        return START + timedelta(seconds=cls.seconds)


class Lean(SqliteDatabase):  # type: ignore[misc]
    """The library's database without what it wraps around each statement; errors are its own."""

    def execute_sql(self, sql: str, params: Any = None) -> Any:  # noqa: ANN401 - as the library's
        """Run one statement."""
        try:
            return self._state.conn.execute(sql, params or ())
        except sqlite3.Error:
            return super().execute_sql(sql, params)


class Key(DeskKey):
    """A key that knows its own name."""

    spki = cached_property(DeskKey.spki.fget)  # type: ignore
    kid = cached_property(DeskKey.kid.fget)  # type: ignore


@lru_cache(maxsize=256)
def signing_key(number: int) -> DeskKey:
    """Return the n-th key: the same in every process, so that record ids are too."""
    return Key(ec.derive_private_key(FIRST_SECRET + number, ec.SECP256R1()))


def begin() -> bytes:
    """Point this process at a database in memory and return a new hospital's bytes."""
    clock.utc_now = Now.read  # type: ignore[assignment]
    remembered.begin()
    accounts.confirm = lambda actor, passphrase: None  # type: ignore[assignment]
    accounts.witness = lambda name, passphrase, address: actor(name)  # type: ignore[assignment]
    passphrases.hash_new = lambda *given, **more: "-"  # type: ignore[assignment]
    database.database.initialize(
        Lean(":memory:", pragmas={"foreign_keys": 1}, lock_type="IMMEDIATE", cached_statements=1024)
    )
    database.connect()
    with tempfile.TemporaryDirectory() as folder:
        settings = Settings.for_demo(Path(folder))
        desk_key.DeskKey.load_or_create = staticmethod(lambda path: signing_key(0))  # type: ignore[assignment]
        initialise.prepare(settings, list(SITES.items()), _users())
    reference.adopt(actor("rook"), "catalogue.adopted", CATALOGUE)
    values = {"title": "Test limits", "values": limits.defaults()}
    reference.adopt(actor("rook"), "limits.adopted", values)
    return copy()


def _users() -> list[NewUser]:
    return [
        NewUser(one.sign_in_name, one.name, PASSPHRASE, one.roles, one.user_id)
        for one in DEMO_PEOPLE
    ]


def copy() -> bytes:
    """Return the whole database as bytes."""
    return bytes(database.database.connection().serialize())


def put_back(kept: bytes) -> None:
    """Replace the whole database."""
    database.database.connection().deserialize(kept)


@lru_cache(maxsize=16)
def actor(name: str) -> Actor:
    """Return somebody who works here, as if signed in."""
    one = next(person for person in DEMO_PEOPLE if person.sign_in_name == name)
    return Actor(one.user_id, one.sign_in_name, one.name, tuple(one.roles))


def restore(kept: bytes, new_desk_key: DeskKey) -> None:
    """Put an older copy back and begin another life, as the command ``restored`` does.

    Enrolments and revocations made since are made again, as the administrator is asked to.
    """
    known = store_devices.everything()
    now_epoch = installation.epoch()
    put_back(kept)
    installation.raise_epoch(max(now_epoch, clock.seconds()))
    for device in known:
        if store_devices.find(device.kid) is None:
            store_devices.add(
                device.kid, bytes(device.spki), device.user, device.label, device.enrolled_at
            )
        if device.confirmed_at:
            store_devices.confirm(device.kid, device.confirmed_by, device.confirmed_at)
        if device.revoked_at:
            store_devices.revoke(device.kid, device.suspected_since, device.revoked_at)
    use_desk_key(new_desk_key)
    desk_key.enrol()


def use_desk_key(key: DeskKey) -> None:
    """Let the desk sign with this key, as a file of it would."""
    desk_key._in_use["desk"] = key


def enrol(name: str, key: DeskKey) -> None:
    """Enrol a phone's key for a person."""
    devices.enrol(actor(name), to_base64url(key.spki), "phone", at_once=True)


def revoke(kid: str) -> None:
    """Revoke a key."""
    key_authority.revoke(actor("rook"), kid, Revocation("lost", None))


def code_of(done: Callable[[], object]) -> str:
    """Do something and return an empty text, or the code of the refusal."""
    try:
        done()
    except Refused as refusal:
        return refusal.code
    return ""


def log(site: str | None = None) -> list[journal.Entry]:
    """Return every stored record, or those of a site, in order."""
    sites = [site] if site else [*SITES, "all"]
    return [entry for one in sites for entry in journal.entries_after(one, 0, 1_000_000)]


def names() -> set[str]:
    """Return ids of everything that is stored or kept apart, and how it changes."""
    return {
        row[0] for row in database.run("SELECT id FROM journal UNION SELECT id FROM refused_record")
    }


def version() -> tuple[int, ...]:
    """Return what changes whenever there is anything new for a phone to hear."""
    return tuple(database.run("SELECT epoch, (SELECT COUNT(*) FROM journal) FROM installation")[0])


def sealed(payload: dict[str, Any], key: DeskKey) -> dict[str, str]:
    """Return a phone's record in its envelope.

    ``open_row`` reads it by every rule, once: bytes that are not canonical would stop there.
    """
    text = write(payload).encode()
    parts = {"p": to_base64url(text), "kid": key.kid, "sig": to_base64url(key.sign(text))}
    return parts


def open_row(envelope: dict[str, str]) -> tuple[str, dict[str, Any]]:
    """Return a record's id and payload."""
    record = remembered.opened(envelope)
    return record.id, record.payload


def fold(records: list[tuple[str, dict[str, Any], int | None]]) -> dict[str, Any]:
    """Return the core's fold of these records: (id, payload, number at its site)."""
    entries = [
        {"id": name, "payload": payload, "received": n, "state": "ok"}
        for name, payload, n in records
    ]
    return calculation.ask(
        {
            "do": "fold", "entries": entries, "reference": folding.in_force(),
            "today": clock.today(), "core": core_sha256(),
        }
    )  # fmt: skip
