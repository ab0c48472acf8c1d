"""Registrations that are of one person: which they are, by records that name two each.

A joining is a record of both registrations, each naming the other, so that a camp's phone knows of
it whichever half it holds; one of them is enough. It holds until a record separates the two again.
The person goes by the earliest registration, whichever joinings led to it and in whatever order.
"""

from webapp.core.entry import Entry
from webapp.core.errors import BadInput
from webapp.core.live import JOINED, SEPARATED, of_kind, standing


def in_one(entries: list[Entry]) -> list[Entry]:
    """Return the records of one person, those under the earliest registration first.

    So the first of several facts is the one of the registration that the person goes by.

    Raises:
        BadInput: the records belong to more than one person; a plan never mixes people.
    """
    people = {one.person for one in entries if one.person is not None}
    if not people:
        return entries
    found = registrations(entries, sorted(people)[0])
    if not people <= set(found):
        raise BadInput("entries", "the records belong to more than one person")
    return sorted(entries, key=lambda one: (one.person != found[0], one.id))


def registrations(entries: list[Entry], person: str) -> list[str]:
    """Return every registration that is joined with one, itself too, the earliest first.

    The ids are made in the order of time (UUIDv7), so the smallest is the earliest.
    """
    pairs = [(one.person, one.body["other"]) for one in joinings(entries)]
    found, waiting = {person}, [person]
    while waiting:
        here = waiting.pop()
        for one, other in pairs + [(other, one) for one, other in pairs]:
            if one == here and other not in found:
                found.add(other)
                waiting.append(other)
    return sorted(found)


def joinings(entries: list[Entry]) -> list[Entry]:
    """Return the joinings that hold, each with what its own camp knows of the other half."""
    of_both = [one for one in entries if one.kind in (JOINED, SEPARATED)]
    return of_kind(standing(of_both).live, JOINED)


def elsewhere(entries: list[Entry]) -> list[Entry]:
    """Return the joinings whose other half is not here: no registration of it is among these."""
    here = {one.person for one in of_kind(entries, "person.registered")}
    return [one for one in joinings(entries) if one.body["other"] not in here]


def joined_json(entries: list[Entry]) -> dict[str, object] | None:
    """Return the registrations of a person; None where there is one alone.

    ``registrations`` holds ids, the earliest first; ``joinings`` the records that say so, each with
    the place of the other half.
    """
    found = joinings(entries)
    if not found:
        return None
    return {
        "registrations": registrations(entries, found[0].person),
        "joinings": [joining_json(one) for one in found],
    }


def joining_json(one: Entry) -> dict[str, object]:
    """Return one joining: who is joined with whom, where the other is, who said so and why."""
    return {
        "record": one.id, "person": one.person, "other": one.body["other"],
        "place": one.body["place"], "reason": one.reason, "author": one.author, "wall": one.wall,
    }  # fmt: skip
