"""What was implanted in an eye, and what was found after it: each finding with its own lens.

A follow-up belongs to the surgery that it names and to no other, and to no day after its lens was
taken out (invariant I22). A corrected surgery is the same surgery, so it keeps what was found after
it.
"""

from collections import namedtuple

from webapp.core.case.taken_out import REMOVED, day_of, depth, earlier_ones, end_of, names_of
from webapp.core.dates import days_from
from webapp.core.entry import Entry, in_display_order
from webapp.core.live import Standing, of_kind

KIND = "surgery.implanted"
# Somewhere on earth it is still the day before, or already the day after, the day of UTC.
DAY_OF_ANOTHER_PLACE = 1

# entry: the live record of the surgery; names: its id and those of the records it corrects;
# followups: live readings taken after it, none of them after the lens came out, oldest first;
# explanted_on: the day it was taken out, None while it is in the eye; next: id of the record of
# that: the surgery that put another lens in its place, or the removal.
Implant = namedtuple("Implant", ("entry", "names", "followups", "explanted_on", "next"))


def implants(standing: Standing, eye: str) -> list[Implant]:
    """Return every surgery that stands for an eye, in the order in which they were done."""
    everything = {one.id: one for one in standing.live}
    for gone, _ in standing.withdrawn:
        everything[gone.id] = gone
    surgeries = in_display_order(of_kind(standing.live, KIND, eye))
    removals = of_kind(standing.live, REMOVED, eye)
    names = {one.id: names_of(one, everything) for one in surgeries}
    earlier = earlier_ones(surgeries, names)
    readings = [one for one in standing.live if is_followup(one) and one.eye == eye]
    return [
        implant_of(
            one, names[one.id], readings, end_of(one, names[one.id], surgeries, earlier, removals)
        )
        for one in sorted(surgeries, key=lambda one: (day_of(one), depth(one.id, earlier)))
    ]


def implant_of(entry: Entry, names: list[str], readings: list[Entry], end: Entry | None) -> Implant:
    """Return one surgery with the names it goes by and what was found while its lens was in."""
    explanted_on = None if end is None else day_of(end)
    mine = [one for one in readings if one.body["implant"] in names and is_within(entry, end, one)]
    mine = sorted(mine, key=by_taken)
    return Implant(entry, sorted(names), mine, explanted_on, None if end is None else end.id)


def is_within(entry: Entry, end: Entry | None, reading: Entry) -> bool:
    """Return whether a reading was taken after a surgery and before its lens was taken out."""
    if days_after(entry, reading) < -DAY_OF_ANOTHER_PLACE:
        return False
    return end is None or days_after(end, reading) <= DAY_OF_ANOTHER_PLACE


def records_of(found: list[Implant]) -> list[str]:
    """Return the sorted ids of every record that says what was implanted, and what taken out."""
    ids = {name for one in found for name in one.names}
    return sorted(ids | {one.next for one in found if one.next is not None})


def in_eye(standing: Standing, eye: str) -> list[Implant]:
    """Return the lenses that lie in an eye now; more than one is a contradiction."""
    return [one for one in implants(standing, eye) if one.explanted_on is None]


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
    """Return the lens in an eye; None where there is none, or where two surgeries contradict."""
    found = implants(standing, eye)
    now = [one for one in found if one.explanted_on is None]
    return now[0] if len(now) == 1 and not beside_another(found) else None


def beside_another(found: list[Implant]) -> list[Implant]:
    """Return the lenses of an eye that lay in it together with another one, by their days."""
    return [
        one
        for one in found
        if any(
            one.entry.id != other.entry.id and not is_over(one, other) and not is_over(other, one)
            for other in found
        )
    ]  # fmt: skip


def is_over(first: Implant, later: Implant) -> bool:
    """Return whether a lens was out of its eye by the day on which another one was implanted."""
    out_on = first.explanted_on
    return out_on is not None and days_from(out_on, day_of(later.entry)) >= 0


def before(standing: Standing, eye: str, surgery: Entry) -> list[Entry]:
    """Return the live readings of the natural eye from before a surgery.

    A reading taken on the day itself is one from before: afterwards an eye has follow-ups. What was
    read while another lens lay in the eye is of that lens too.
    """
    others = [one for one in implants(standing, eye) if surgery.id not in one.names]
    return [
        one
        for one in standing.live
        if one.eye == eye and one.kind.startswith("reading.")
        and days_after(surgery, one) <= 0 and not was_in(others, one)
    ]  # fmt: skip


def was_in(found: list[Implant], reading: Entry) -> bool:
    """Return whether one of these lenses lay in the eye when a reading was taken."""
    return any(
        days_after(one.entry, reading) > 0
        and (one.explanted_on is None or days_from(one.explanted_on, reading.body["taken"]) <= 0)
        for one in found
    )


def order_named(standing: Standing, surgery: Entry) -> Entry | None:
    """Return the order that a surgery names; None where it names none, or one that is not here."""
    placed = of_kind(standing.live, "order.placed", surgery.eye)
    found = [one for one in placed if one.id == surgery.body["order"]]
    return found[0] if found else None


def newest_visit(implant: Implant, kind: str) -> list[Entry]:
    """Return the follow-ups of a kind from its newest day."""
    return newest_day(implant, of_kind(implant.followups, kind))


def newest_day(implant: Implant, found: list[Entry]) -> list[Entry]:
    """Return those of some follow-ups that were taken on the newest day among them."""
    if not found:
        return []
    newest = max([days_after(implant.entry, one) for one in found])
    return [one for one in found if days_after(implant.entry, one) == newest]
