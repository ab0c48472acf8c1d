"""Keys that may sign: one for each person on each device, and the base desk's own."""

from typing import Any, NamedTuple

from peewee import BigIntegerField, BlobField, CharField

from webapp.store.database import Row, insert, rows_among, run

DESK = "desk"
"""Stands for the user of the installation's desk key, which signs for whoever is signed in."""

WAITING = "waiting"
CONFIRMED = "confirmed"
REVOKED = "revoked"
CLOSED = "closed"


class DeviceRow(Row):
    """An enrolled public key."""

    kid = CharField(64, primary_key=True)
    spki = BlobField()
    user = CharField(index=True)
    label = CharField()
    enrolled_at = CharField()
    last_heard = CharField(null=True)
    confirmed_at = CharField(null=True)
    confirmed_by = CharField(null=True)
    """User id; the id of the person's earlier key where that one vouched; null where nobody did."""
    revoked_at = CharField(null=True)
    suspected_since = CharField(null=True)
    """Since when the key may have been in other hands, where the revocation says so."""
    closed_at = CharField(null=True)
    closed_seq = BigIntegerField(null=True)
    """The last place of its chain, where it was closed."""

    class Meta:
        """The table's name."""

        table_name = "device"


class Device(NamedTuple):
    """An enrolled public key as it was read: a tuple, since every push reads some.

    What it signs is taken in once somebody confirmed it, until it is revoked or its chain closed.
    """

    kid: str
    spki: bytes
    user: str
    label: str
    enrolled_at: str
    last_heard: str | None
    confirmed_at: str | None
    confirmed_by: str | None
    revoked_at: str | None
    suspected_since: str | None
    closed_at: str | None
    closed_seq: int | None

    @property
    def state(self) -> str:
        """``revoked``, ``closed``, ``confirmed`` or ``waiting``: the gravest that is true."""
        if self.revoked_at:
            return REVOKED
        if self.closed_at:
            return CLOSED
        return CONFIRMED if self.confirmed_at else WAITING


COLUMNS = ", ".join(Device._fields).replace("user", '"user"')  # a word of SQL
SELECT = f"SELECT {COLUMNS} FROM device"  # noqa: S608 - names from the program
CONFIRM = (
    "UPDATE device SET confirmed_at = ?, confirmed_by = ? WHERE kid = ? AND confirmed_at IS NULL"
)
REVOKE = (
    "UPDATE device SET revoked_at = ?, suspected_since = ? WHERE kid = ? AND revoked_at IS NULL"
)


def find(kid: str) -> Device | None:
    """Return the device with this key id."""
    return among({kid}).get(kid)


def among(kids: set[str]) -> dict[str, Device]:
    """Return kid -> device for those of these keys that are enrolled."""
    return {row[0]: _device(row) for row in rows_among(COLUMNS, "device", "kid", kids)}


def everything() -> list[Device]:
    """Return every enrolled key, revoked ones too: old records still need them."""
    return [_device(row) for row in run(f"{SELECT} ORDER BY enrolled_at, kid")]


def add(kid: str, spki: bytes, user: str, label: str, now: str) -> None:
    """Keep a new key."""
    row = {"kid": kid, "spki": spki, '"user"': user, "label": label, "enrolled_at": now}
    insert("device", row)


def relabel(kid: str, label: str) -> None:
    """Give a known key another label."""
    DeviceRow.update(label=label).where(DeviceRow.kid == kid).execute()


def heard_from(kids: set[str], now: str) -> None:
    """Note that these keys' devices have just been heard from."""
    for kid in kids:
        run("UPDATE device SET last_heard = ? WHERE kid = ?", now, kid)


def of_user(user: str) -> list[Device]:
    """Return every key of a person, the oldest first."""
    rows = run(f'{SELECT} WHERE "user" = ? ORDER BY enrolled_at, kid', user)
    return [_device(row) for row in rows]


def vouched_for_by(kid: str) -> list[Device]:
    """Return the keys that were confirmed by this key alone."""
    return [_device(row) for row in run(f"{SELECT} WHERE confirmed_by = ?", kid)]


def _device(row: tuple[Any, ...]) -> Device:
    # PostgreSQL's driver gives bytes as a view; made anew once, since each push reads some.
    kid, spki, *rest = row
    return Device(kid, bytes(spki), *rest)


def confirm(kid: str, by: str | None, now: str) -> None:
    """Give a key its authority; the first confirmation stands."""
    run(CONFIRM, now, by, kid)


def wait_again(user: str) -> None:
    """Take the confirmation of a person's keys back: each is compared again before it counts."""
    DeviceRow.update(confirmed_at=None, confirmed_by=None).where(DeviceRow.user == user).execute()


def revoke(kid: str, suspected_since: str | None, now: str) -> None:
    """Take a key's authority away for ever; the first revocation stands."""
    run(REVOKE, now, suspected_since, kid)


def close(kid: str, last_seq: int, now: str) -> None:
    """End a key's chain at this place; the first closing stands."""
    DeviceRow.update(closed_at=now, closed_seq=last_seq).where(
        DeviceRow.kid == kid, DeviceRow.closed_at.is_null()
    ).execute()
