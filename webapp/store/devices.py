"""Keys that may sign: one for each person on each device, and the base desk's own."""

from peewee import BlobField, CharField

from webapp.store.database import Row, database, run

DESK = "desk"
"""Stands for the user of the installation's desk key, which signs for whoever is signed in."""


class Device(Row):
    """An enrolled public key."""

    kid = CharField(64, primary_key=True)
    spki = BlobField()
    user = CharField(index=True)
    label = CharField()
    enrolled_at = CharField()
    last_heard = CharField(null=True)
    revoked_at = CharField(null=True)


def find(kid: str) -> Device | None:
    """Return the device with this key id."""
    return among({kid}).get(kid)


def among(kids: set[str]) -> dict[str, Device]:
    """Return kid -> device for those of these keys that are enrolled."""
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


def revoke(kid: str, now: str) -> None:
    """Take a key's authority away; the first revocation stands."""
    Device.update(revoked_at=now).where(Device.kid == kid, Device.revoked_at.is_null()).execute()
