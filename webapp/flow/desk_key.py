"""The installation's desk key: signs what is made on the desk's pages, for whoever is signed in."""

from pathlib import Path

from webapp.flow import clock
from webapp.records.signing import DeskKey
from webapp.store import devices
from webapp.store.database import writing

_in_use: dict[str, DeskKey] = {}


def use(path: Path) -> DeskKey:
    """Load the key of this installation, making it on first use; the last call counts."""
    _in_use["desk"] = DeskKey.load_or_create(path)
    return _in_use["desk"]


def desk_key() -> DeskKey:
    """Return the key in use."""
    return _in_use["desk"]


def begin_new(path: Path) -> DeskKey:
    """Put the key of an earlier life aside and enrol a new one, for a database that was restored.

    What the old key signed since the copy was made is gone from here but not from the phones: a
    new record in its place would shut the old ones out for ever, orders among them.
    """
    old = DeskKey.load_or_create(path)
    path.rename(path.with_name(f"{path.stem}-{old.kid[:16]}{path.suffix}"))
    key = use(path)
    enrol()
    return key


def enrol() -> None:
    """Enrol the key in use, so that phones can check what it signed."""
    key = desk_key()
    if devices.find(key.kid) is None:
        with writing():
            devices.add(key.kid, key.spki, devices.DESK, "Base desk", clock.instant())
            devices.confirm(key.kid, None, clock.instant())
