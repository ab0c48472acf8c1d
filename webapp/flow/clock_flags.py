"""Watching the devices' clocks: what is flagged for people to know, and never used to order.

A phone may be away for days, so a record from long ago is ordinary. One from the future, one
before its own predecessor, and one from far longer ago than any camp lasts are not.
"""

from collections.abc import Iterable
from datetime import datetime

from webapp.records.envelope import Record
from webapp.store import clocks

AHEAD_S = 120
"""A clock that is off by more than two minutes is said to be off [s]."""
OLD_S = 60 * 24 * 3600
"""A record made longer ago than two months [s]; common practice, no camp lasts so long."""


def judge(records: Iterable[Record], now: str) -> None:
    """Flag records whose time is out of the ordinary as they are stored; inside ``writing()``.

    Args:
        records: in the order of each key's chain.
        now: the moment of receipt (instant).
    """
    records = list(records)
    newest = clocks.walls({record.kid for record in records})
    found = []
    for record in records:
        wall = record.payload["wall"]
        for flag, seconds in _odd(wall, newest.get(record.kid), now)[:1]:
            row = {"record": record.id, "kid": record.kid, "flag": flag, "seconds": seconds}
            found.append(row)
        newest[record.kid] = wall
    clocks.flag(found)
    clocks.keep_walls(newest)


def _odd(wall: str, before: str | None, now: str) -> list[tuple[str, int]]:
    ahead_s = seconds_between(now, wall)
    odd = [("ahead", ahead_s)] if ahead_s > AHEAD_S else []
    if before is not None and seconds_between(wall, before) > 0:
        odd.append(("back", seconds_between(wall, before)))
    return odd + ([("old", -ahead_s)] if -ahead_s > OLD_S else [])


def seconds_between(since: str, until: str) -> int:
    """Return how many whole seconds lie between two instants."""
    span = datetime.fromisoformat(until) - datetime.fromisoformat(since)
    return int(span.total_seconds())
