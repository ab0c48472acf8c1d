"""Which registrations are of one person, and the records of all of them together.

Whatever folds, plans or orders asks here, so that nobody looks at half a person.
"""

from collections.abc import Callable, Iterable

from webapp.store import journal
from webapp.store.journal import Entry
from webapp.store.projections import joins
from webapp.store.projections.joins import Join


def registrations(
    person: str, touching: Callable[[str], Iterable[Join]] = joins.touching
) -> list[str]:
    """Return a registration and all it is joined with, the earliest first.

    Args:
        person: one registration.
        touching: gives the joinings that name a registration; by default those stored.
    """
    found, waiting = {person}, [person]
    while waiting:
        here = waiting.pop()
        named = {one for join in touching(here) for one in (join.person, join.other)}
        waiting += named - found
        found |= named
    # UUIDv7: in the order of time. The core goes by the smallest id too.
    return sorted(found)


def home_of(person: str) -> str:
    """Return the registration that a person goes by: the earliest of theirs."""
    return registrations(person)[0]


def entries_of(person: str) -> list[Entry]:
    """Return every record about a person, under whichever registration it is filed."""
    return [
        entry for one in registrations(person) for entry in journal.entries_of_person(one)
    ]  # fmt: skip


def with_others(people: Iterable[str]) -> set[str]:
    """Return these registrations and all they are joined with."""
    return {one for person in people for one in registrations(person)}
