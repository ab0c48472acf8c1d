"""Keys that may sign: one for each person on each device, and the base desk's own."""

from peewee import BigIntegerField, BlobField, CharField

from webapp.store.database import Row, database, run

DESK = "desk"
"""Stands for the user of the installation's desk key, which signs for whoever is signed in."""

WAITING = "waiting"
CONFIRMED = "confirmed"
REVOKED = "revoked"
CLOSED = "closed"


class Device(Row):
    """An enrolled public key.

    What it signs is taken in once somebody confirmed it, until it is revoked or its chain closed.
    """

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

    @property
    def state(self) -> str:
        """``revoked``, ``closed``, ``confirmed`` or ``waiting``: the gravest that is true."""
        if self.revoked_at:
            return REVOKED
        if self.closed_at:
            return CLOSED
        return CONFIRMED if self.confirmed_at else WAITING


def find(kid: str) -> Device | None:
    """Return the device with this key id."""
    return among({kid}).get(kid)


def among(kids: set[str]) -> dict[str, Device]:
    """Return kid -> device for those of these keys that are enrolled."""
    if not kids:  # PostgreSQL takes no empty list
        return {}
    marks = ", ".join([database.param] * len(kids))
    found = Device.raw(f"SELECT * FROM device WHERE kid IN ({marks})", *kids)  # noqa: S608 - marks
    return {row.kid: row for row in found}


def everything() -> list[Device]:
    """Return every enrolled key, revoked ones too: old records still need them."""
    return list(Device.select().order_by(Device.enrolled_at, Device.kid))


def add(kid: str, spki: bytes, user: str, label: str, now: str) -> None:
    """Keep a new key."""
    Device.create(kid=kid, spki=spki, user=user, label=label, enrolled_at=now)


def relabel(kid: str, label: str) -> None:
    """Give a known key another label."""
    Device.update(label=label).where(Device.kid == kid).execute()


def heard_from(kids: set[str], now: str) -> None:
    """Note that these keys' devices have just been heard from."""
    for kid in kids:
        run("UPDATE device SET last_heard = ? WHERE kid = ?", now, kid)


def of_user(user: str) -> list[Device]:
    """Return every key of a person, the oldest first."""
    return list(Device.select().where(Device.user == user).order_by(Device.enrolled_at, Device.kid))


def vouched_for_by(kid: str) -> list[Device]:
    """Return the keys that were confirmed by this key alone."""
    return list(Device.select().where(Device.confirmed_by == kid))


def confirm(kid: str, by: str | None, now: str) -> None:
    """Give a key its authority; the first confirmation stands."""
    Device.update(confirmed_at=now, confirmed_by=by).where(
        Device.kid == kid, Device.confirmed_at.is_null()
    ).execute()


def wait_again(user: str) -> None:
    """Take the confirmation of a person's keys back: each is compared again before it counts."""
    Device.update(confirmed_at=None, confirmed_by=None).where(Device.user == user).execute()


def revoke(kid: str, suspected_since: str | None, now: str) -> None:
    """Take a key's authority away for ever; the first revocation stands."""
    Device.update(revoked_at=now, suspected_since=suspected_since).where(
        Device.kid == kid, Device.revoked_at.is_null()
    ).execute()


def close(kid: str, last_seq: int, now: str) -> None:
    """End a key's chain at this place; the first closing stands."""
    Device.update(closed_at=now, closed_seq=last_seq).where(
        Device.kid == kid, Device.closed_at.is_null()
    ).execute()
