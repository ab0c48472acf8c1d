"""What was implanted in an eye, and what was found after it: each finding with its own lens.

A follow-up belongs to the surgery that it names and to no other (invariant I22). A corrected
surgery is the same surgery, so it keeps what was found after it.
"""

from collections import namedtuple

from webapp.core.dates import days_from
from webapp.core.entry import Entry, in_display_order
from webapp.core.live import Standing, of_kind, takes_out

KIND = "surgery.implanted"
# Somewhere on earth it is still the day before, or already the day after, the day of UTC.
DAY_OF_ANOTHER_PLACE = 1

# entry: the live record of the surgery; names: its id and those of the records it corrects;
# followups: live readings taken after it, oldest first.
Implant = namedtuple("Implant", ("entry", "names", "followups"))


def implants(standing: Standing, eye: str) -> list[Implant]:
    """Return every surgery that stands for an eye; more than one is a contradiction."""
    everything = {one.id: one for one in standing.live}
    for gone, _ in standing.withdrawn:
        everything[gone.id] = gone
    readings = [one for one in standing.live if is_followup(one) and one.eye == eye]
    return [
        implant_of(entry, everything, readings)
        for entry in in_display_order(of_kind(standing.live, KIND, eye))
    ]


def implant_of(entry: Entry, everything: dict[str, Entry], readings: list[Entry]) -> Implant:
    """Return one surgery with the names it went by and what was found after it."""
    names = [entry.id]
    one = entry
    earlier = everything.get(one.replaces or "")
    while earlier is not None and earlier.id not in names and takes_out(one, earlier):
        names.append(earlier.id)
        one = earlier
        earlier = everything.get(one.replaces or "")
    mine = [
        one
        for one in readings
        if one.body["implant"] in names and days_after(entry, one) >= -DAY_OF_ANOTHER_PLACE
    ]
    return Implant(entry, sorted(names), sorted(mine, key=by_taken))


def by_taken(entry: Entry) -> tuple[str, str]:
    """Return what follow-ups are shown in the order of: when they were taken."""
    return (entry.body["taken"], entry.id)


def is_followup(entry: Entry) -> bool:
    """Return whether a record is a reading taken after surgery."""
    return bool(entry.kind.startswith("followup."))


def days_after(surgery: Entry, reading: Entry) -> int:
    """Return the days [d] from the day of a surgery to a reading."""
    return days_from(surgery.body["operated"], reading.body["taken"])


def only_implant(standing: Standing, eye: str) -> Implant | None:
    """Return the surgery of an eye; None where there is none, or where two contradict."""
    found = implants(standing, eye)
    return found[0] if len(found) == 1 else None


def before(standing: Standing, eye: str, surgery: Entry) -> list[Entry]:
    """Return the live readings of an eye from before its surgery.

    A reading taken on the day itself is one from before: afterwards an eye has follow-ups.
    """
    return [
        one
        for one in standing.live
        if one.eye == eye and one.kind.startswith("reading.") and days_after(surgery, one) <= 0
    ]


def newest_visit(implant: Implant, kind: str) -> list[Entry]:
    """Return the follow-ups of a kind from its newest day."""
    return newest_day(implant, of_kind(implant.followups, kind))


def newest_day(implant: Implant, found: list[Entry]) -> list[Entry]:
    """Return those of some follow-ups that were taken on the newest day among them."""
    if not found:
        return []
    newest = max([days_after(implant.entry, one) for one in found])
    return [one for one in found if days_after(implant.entry, one) == newest]
