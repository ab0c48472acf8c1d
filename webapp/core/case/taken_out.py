"""Which lens was taken out of an eye, when, and by which record.

A lens leaves the eye by the surgery that put another one in its place and names it, or by the
record of its removal. Without either, two surgeries of one eye contradict each other.
"""

from webapp.core.dates import days_from
from webapp.core.entry import Entry
from webapp.core.live import takes_out

REMOVED = "surgery.explanted"


def names_of(entry: Entry, everything: dict[str, Entry]) -> list[str]:
    """Return the id of a surgery and those of the records that it corrects.

    Args:
        entry: a live surgery.
        everything: records by id, withdrawn ones too.
    """
    names = [entry.id]
    one = entry
    earlier = everything.get(one.replaces or "")
    while earlier is not None and earlier.id not in names and takes_out(one, earlier):
        names.append(earlier.id)
        one = earlier
        earlier = everything.get(one.replaces or "")
    return names


def day_of(surgery: Entry) -> str:
    """Return the day of a surgery or a removal."""
    day: str = surgery.body["operated"]
    return day


def earlier_ones(surgeries: list[Entry], names: dict[str, list[str]]) -> dict[str, str]:
    """Return, for each surgery that took a lens out of its eye, the surgery of that lens by id.

    A surgery that names one of a later day, or one that came after itself, took nothing out.

    Args:
        surgeries: the live ones of an eye.
        names: every name that each of them goes by.
    """
    found = {}
    for later in surgeries:
        named = later.body.get("explants")
        for one in surgeries:
            is_earlier = days_from(day_of(one), day_of(later)) >= 0
            if named in names[one.id] and one.id != later.id and is_earlier:
                found[later.id] = one.id
    return {later: found[later] for later in found if not comes_round(later, found)}


def comes_round(surgery: str, earlier: dict[str, str]) -> bool:
    """Return whether following the lenses taken out leads back to the surgery itself."""
    steps, one = 0, earlier.get(surgery)
    while one is not None and one != surgery and steps <= len(earlier):
        steps, one = steps + 1, earlier.get(one)
    return one is not None


def depth(surgery: str, earlier: dict[str, str]) -> int:
    """Return how many lenses lay in the eye before this one."""
    count, one = 0, earlier.get(surgery)
    while one is not None and count <= len(earlier):
        count, one = count + 1, earlier.get(one)
    return count


def end_of(
    entry: Entry, names: list[str], surgeries: list[Entry], earlier: dict[str, str],
    removals: list[Entry],
) -> Entry | None:  # fmt: skip
    """Return the record that took the lens of a surgery out first, None while it is in the eye."""
    ends = [one for one in surgeries if earlier.get(one.id) == entry.id]
    ends += [
        one
        for one in removals
        if one.body["implant"] in names and days_from(day_of(entry), day_of(one)) >= 0
    ]
    return min(ends, key=by_day) if ends else None


def by_day(surgery: Entry) -> tuple[str, str]:
    """Return what surgeries are compared by: their day, then their id."""
    return (day_of(surgery), surgery.id)
