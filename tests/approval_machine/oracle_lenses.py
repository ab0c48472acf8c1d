"""Which lenses lie in an eye, and what must hold of them, judged from signed payloads alone.

It shares no code with the fold. A lens lies in its eye from the day of its surgery to the first
day on which a record says that it was taken out. What is wrong is named by the invariant.
"""

from datetime import date
from typing import NamedTuple

from tests.approval_machine import oracle, oracle_backups
from tests.approval_machine.oracle import Payload, Records

SURGERY, REMOVAL = "surgery.implanted", "surgery.explanted"
A_DAY = 1
"""Somewhere it is the day before, or the day after, the day of UTC."""


class Lens(NamedTuple):
    """A lens by the records."""

    surgery: str
    names: frozenset[str]
    """Its surgery, and every record of it that was corrected."""
    first: str
    last: str | None
    """The day on which it was taken out."""
    ended_by: frozenset[str]


def names_of(records: Records, surgery: str) -> frozenset[str]:
    """Return the ids that a surgery goes by: its own, and those that it corrected."""
    found = [surgery]
    while (before := records[found[-1]]["replaces"]) in records and before not in found:
        found.append(before)
    return frozenset(found)


def lenses(records: Records, eye: str) -> list[Lens]:
    """Return the lenses of an eye, in no order."""
    surgeries = in_eye(oracle.live(records, SURGERY), eye)
    removals = in_eye(oracle.live(records, REMOVAL), eye)
    found = []
    for name, one in surgeries.items():
        names, first = names_of(records, name), one["body"]["operated"]
        ends = {
            other: each["body"]["operated"]
            for other, each in {**surgeries, **removals}.items()
            if other != name
            and (each["body"].get("explants") in names or each["body"].get("implant") in names)
            and each["body"]["operated"] >= first
        }
        found.append(Lens(name, names, first, min(ends.values(), default=None), frozenset(ends)))
    return found


def in_eye(found: Records, eye: str) -> Records:
    """Return those records that are of one eye."""
    return {name: one for name, one in found.items() if one["eye"] == eye}


def lying(records: Records, eye: str) -> list[Lens]:
    """Return the lenses that lie in an eye now."""
    return [one for one in lenses(records, eye) if one.last is None]


def overlap(found: list[Lens]) -> bool:
    """Return whether two lenses lay in one eye at one time."""
    return any(
        not (one.last is not None and one.last <= other.first)
        and not (other.last is not None and other.last <= one.first)
        for place, one in enumerate(found)
        for other in found[:place]
    )


def came_late(records: Records, eye: str) -> bool:
    """Return whether a surgery was stored after one of a later day.

    Args:
        records: in the order in which they were stored.
        eye: which eye.
    """
    places = {name: place for place, name in enumerate(records)}
    by_arrival = sorted(lenses(records, eye), key=lambda one: min(places[n] for n in one.names))
    return any(one.first < by_arrival[place].first for place, one in enumerate(by_arrival[1:]))


def readings_of(records: Records, eye: str, lens: Lens) -> set[str]:
    """Return what was read of an eye while this lens lay in it."""
    return {
        name
        for name, one in records.items()
        if one["kind"].startswith("followup.") and one["eye"] == eye
        and one["body"]["implant"] in lens.names and not oracle.out(records, name)
        and days(lens.first, one["body"]["taken"]) >= -A_DAY
        and (lens.last is None or days(lens.last, one["body"]["taken"]) <= A_DAY)
    }  # fmt: skip


def days(first: str, then: str) -> int:
    """Return the days from one day to another [d]."""
    return (date.fromisoformat(then[:10]) - date.fromisoformat(first[:10])).days


def serial_of(surgery: Payload) -> str:
    """Return a serial number as it is compared, empty where none was recorded."""
    return "".join((surgery["body"]["serial"] or "").upper().split())


def wrong_with_surgeries(records: Records) -> list[str]:
    """Return the invariants that the stored surgeries of a person break."""
    standing = oracle.live(records, SURGERY)
    serials = [serial_of(one) for one in standing.values() if serial_of(one)]
    ordered = [
        oracle_backups.chosen_of(records, one["body"]["order"])
        for one in standing.values()
        if one["body"]["order"]
    ]
    broken = {
        "I2 one order, two surgeries": len(ordered) != len(set(ordered)),
        "I16": any(crosses(records, one) for one in records.values()),
        "I20 one serial, two lenses": len(serials) != len(set(serials)),
        "I20 another serial came out": any(
            says_another_serial(records, one) for one in records.values()
        ),
        "I21": any(
            one["body"].get("theatre_check") is not None and not fits_check(records, one)
            for one in standing.values()
        ),
        "two lenses in one eye": any(
            overlap(lenses(records, eye)) and not came_late(records, eye) for eye in ("R", "L")
        ),
    }
    return [name for name, is_broken in broken.items() if is_broken]


def crosses(records: Records, one: Payload) -> bool:
    """Return whether a record of a lens names one of the other eye."""
    families = ("surgery.", "followup.", "theatre.", "exchange.", "backup.")
    if not one["kind"].startswith(families):
        return False
    fields = (
        "order", "approval", "theatre_check", "explants", "implant", "label", "check", "instead_of",
    )  # fmt: skip
    named = [one["body"].get(field) for field in fields]
    return any(records[name]["eye"] != one["eye"] for name in named if name in records)


def says_another_serial(records: Records, one: Payload) -> bool:
    """Return whether another serial number came out than went in, and nobody wrote why."""
    body = one["body"]
    if one["kind"] == SURGERY and body.get("explants") in records:
        lens, read, why = body["explants"], body["explanted_serial"], body["explanted_reason"]
    elif one["kind"] == REMOVAL:
        lens, read, why = body["implant"], body["serial"], body["serial_reason"]
    else:
        return False
    # A later correction of either record is a new statement; it is judged when it comes.
    went_in = {serial_of(records[name]) for name in records if lens in names_of(records, name)}
    return not why and "" not in went_in and "".join((read or "").upper().split()) not in went_in


def fits_check(records: Records, surgery: Payload) -> bool:
    """Return whether the check that a surgery names is of its lens, order, eye and day."""
    body = surgery["body"]
    check = records.get(body["theatre_check"])
    if check is None or check["kind"] != "theatre.checked" or check["body"]["label"] is None:
        return False
    label = records[check["body"]["label"]]["body"]
    return bool(
        check["body"]["outcome"] == "agrees"
        and check["eye"] == surgery["eye"]
        and check["body"]["order"] == body["order"]
        and label["first"]["serial"] == body["serial"]
        and abs(days(check["wall"], body["operated"])) <= A_DAY
    )


def is_checked(records: Records, surgery: Payload) -> bool:
    """Return whether two people checked the lens of a surgery in theatre, with no doubt open."""
    name = surgery["body"].get("theatre_check")
    if name is None or not fits_check(records, surgery):
        return False
    check = records[name]
    doubts = {
        one
        for one, each in records.items()
        if each["kind"] in ("label.checked", "theatre.checked")
        and each["body"]["order"] == surgery["body"]["order"]
        and each["body"]["outcome"] != "agrees"
    }
    return doubts <= set(records[check["body"]["label"]]["body"]["seen"]) and any(
        one["kind"] == "theatre.confirmed" and one["body"]["check"] == name
        and one["author"] != check["author"] and one["key"] != check["key"]
        and not oracle.in_other_hands(records, check) and not oracle.in_other_hands(records, one)
        for one in records.values()
    )  # fmt: skip
