"""Dropping from a phone what it needs no more, and fetching it again: ``static/store/put_off.js``.

Ninety days pass in no history, so the simulation asks for fewer seconds; the rule is the same.
"""

from datetime import datetime

from tests.simulation.phone_store import MERGED, REGISTERED, PhoneStore, Row

DAY_S = 86_400
KEPT_S = 90 * DAY_S


def put_off(store: PhoneStore, person: str, now: datetime, kept_s: float = KEPT_S) -> bool:
    """Drop a person's records but the registration, in one transaction; say whether it was done.

    Args:
        store: the phone's database.
        person: who is done with.
        now: the present moment by the base's clock.
        kept_s: how long the base must have had all of it [s].
    """
    if any(person in _joined(row) for row in store.records.values()):
        return False
    mine = [row for row in store.records.values() if row.payload["person"] == person]
    if any(not _is_long_at_base(row, now, kept_s) or row.id in store.outbox for row in mine):
        return False
    for row in mine:
        if row.payload["kind"] != REGISTERED:
            del store.records[row.id]
    store.put_off[person] = 0
    return True


def take_back(
    store: PhoneStore, person: str, epoch: str, rows: list[Row], news: int | None
) -> bool:
    """Take all of a person's records in again, in one transaction; say whether it was done.

    Args:
        store: the phone's database.
        person: whose records they are.
        epoch: the life of the base that gave them.
        rows: everything that the base has of them.
        news: how many newer ones had been passed over when they were asked for.
    """
    if store.epoch != epoch or store.put_off.get(person) != news:
        return False
    store.put_off.pop(person, None)
    for row in rows:
        store.take_in(row.site, row)
    return True


def _joined(row: Row) -> tuple[str, ...]:
    if row.payload["kind"] != MERGED:
        return ()
    return row.payload["person"], row.payload["body"]["other"]


def _is_long_at_base(row: Row, now: datetime, kept_s: float) -> bool:
    if row.state != "ok" or row.received is None or row.received_at is None:
        return False
    return (now - datetime.fromisoformat(row.received_at)).total_seconds() > kept_s
