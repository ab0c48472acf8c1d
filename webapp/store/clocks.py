"""What is known of the devices' clocks: evidence for people, never an order of anything."""

from collections.abc import Iterable

from peewee import BigIntegerField, CharField

from webapp.store.database import Row, insert, rows_among


class DeviceClock(Row):
    """The clock of the device of one key."""

    kid = CharField(64, primary_key=True)
    wall = CharField(null=True)
    """Of the newest record of the key."""
    skew_s = BigIntegerField(null=True)
    """The device's clock minus the base's when it was last heard [s]."""
    heard_at = CharField(null=True)


class ClockFlag(Row):
    """A record whose time is out of the ordinary."""

    record = CharField(64, primary_key=True)
    kid = CharField(64, index=True)
    flag = CharField()
    """``ahead`` of its receipt, ``back`` behind the key's record before, or ``old``."""
    seconds = BigIntegerField()


def walls(kids: Iterable[str]) -> dict[str, str]:
    """Return kid -> wall of its newest record."""
    return {kid: wall for kid, wall in rows_among("kid, wall", "device_clock", "kid", kids) if wall}


def keep_walls(newest: dict[str, str]) -> None:
    """Keep the wall of each key's newest record; call inside ``writing()``."""
    for kid, wall in newest.items():
        _change(kid, {"wall": wall})


def keep_skew(kid: str, skew_s: int, heard_at: str) -> None:
    """Keep how far a device's clock was off; call inside ``writing()``."""
    _change(kid, {"skew_s": skew_s, "heard_at": heard_at})


def flag(rows: list[dict[str, object]]) -> None:
    """Flag records; call inside ``writing()``."""
    for row in rows:
        insert("clock_flag", row)


def everything() -> list[DeviceClock]:
    """Return what is known of every device's clock."""
    return list(DeviceClock.select().order_by(DeviceClock.kid))


def flags() -> list[ClockFlag]:
    """Return every flagged record."""
    return list(ClockFlag.select().order_by(ClockFlag.kid, ClockFlag.record))


def _change(kid: str, columns: dict[str, object]) -> None:
    # Written out, since it runs with every push; the names of columns are the program's own.
    changed = ", ".join(f"{name} = excluded.{name}" for name in columns)
    insert("device_clock", {"kid": kid, **columns}, f"ON CONFLICT (kid) DO UPDATE SET {changed}")
