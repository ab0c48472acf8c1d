"""Kinds of histories: everything at once, decisions over one eye, and one person of two camps.

In the first, faults come so thick that surgeons seldom contradict each other; in the second they
often do, a third one settles it, and records that come after an order are answered. In the third a
person is registered and measured at two camps; the base joins the two and separates them again.
The fourth is the same, but that a lens is ordered at each camp before anybody compares the two. In
the fifth phones put off people who are done with, and fetch them again. In the sixth a lens is
here: its box is checked, two people check it in theatre, it is implanted, and what is read after it
cannot always wait.
"""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, NamedTuple

from tests.simulation import clinic, table
from tests.simulation.phone import Phone

if TYPE_CHECKING:
    from tests.simulation.history import History

Said = dict[str, Any] | None
Way = Callable[["History", Phone, str], Said]
MIXED = "mixed"
DECIDING = "deciding"
JOINING = "joining"
ORDERED = "ordered twice"
AWAY = "put off"
OPERATED = "operated"
SETTLES = "hale"
"""The surgeon who seldom decides first, so that somebody is left to settle."""

DECIDING_EVERY = 3
"""One history in so many is about decisions."""

JOINING_EVERY = 8
"""One history in so many is about a person who is registered at two camps."""

ORDERED_EVERY = 4
"""And one in so many of these begins with an order at each camp."""

AWAY_EVERY = 9
"""One history in so many is about people who are put off."""

OPERATED_EVERY, OPERATED_FROM = 17, 4
"""One history in so many of the rest is about a lens that is implanted, from this seed on."""

OWNERS = {
    MIXED: (
        ("ambler", "optometrist", ["saltpan", "north-quay"]),
        ("ambler", "optometrist", ["saltpan"]),
        ("verrill", "surgeon", ["saltpan", "north-quay"]),
        ("marsh", "surgeon", ["saltpan"]),
    ),
    DECIDING: (
        ("ambler", "optometrist", ["saltpan"]),
        ("marsh", "surgeon", ["saltpan"]),
        ("verrill", "surgeon", ["saltpan"]),
        ("hale", "surgeon", ["saltpan"]),
    ),
    JOINING: (
        ("ambler", "optometrist", ["saltpan"]),
        ("verrill", "surgeon", ["saltpan", "upper-glen"]),
        ("quill", "optometrist", ["upper-glen"]),
        ("marsh", "surgeon", ["upper-glen", "saltpan"]),
    ),
    OPERATED: (
        ("ambler", "optometrist", ["saltpan"]),
        ("verrill", "surgeon", ["saltpan"]),
        ("wren", "theatre", ["saltpan"]),
    ),
}
OWNERS[ORDERED] = OWNERS[JOINING]
OWNERS[AWAY] = OWNERS[MIXED]
"""Whose phones take part: sign-in name, role, camps."""

MARRIED = {"name": "Brin Castle", "phone": "0555 0177 31", "camp_code": "UG-002"}
"""The name and phone under which she is registered at the other camp: too little alike to stop."""

MEASURED: dict[str, list[tuple[int, dict[str, Any]]]] = {
    MIXED: [(0, {})],
    DECIDING: [(0, {})],
    JOINING: [(0, {}), (2, MARRIED)],
    ORDERED: [(0, {}), (2, MARRIED)],
    AWAY: [(0, {})],
    OPERATED: [(0, {})],
}
"""Which phones begin with somebody measured, and what their registration says otherwise."""

APPROVED: dict[str, list[int]] = {ORDERED: [1, 3], OPERATED: [1]}
"""Which surgeons' phones have approved for each of them, so that a lens is ordered already."""

HOLDS_ALL = {MIXED: 0, DECIDING: 0, JOINING: 1, ORDERED: 1, AWAY: 0, OPERATED: 2}
"""Which phone is of every camp of the person that the histories are about."""

BOXED = (OPERATED,)
"""Where the ordered lens has come, and its box was checked."""

ALL_EXCHANGE = IN_TURN = (OPERATED,)
"""Where one thing follows from the other's: everybody exchanges, and whoever can writes."""

SKEW_DIVIDED = {OPERATED: 20}
"""Clocks are off by half a day at most where a check holds on the day of surgery alone (I21)."""


class Weights(NamedTuple):
    """How often each action is drawn."""

    exchange: int
    write: int
    order: int
    cancel: int
    crash: int
    evict: int
    copy: int
    restore: int
    revoke: int
    forge: int
    renew: int
    declare: int
    decide: int
    join: int = 0
    separate: int = 0
    put_off: int = 0
    fetch: int = 0
    box: int = 0
    answer: int = 0
    cancel_late: int = 0


WEIGHTS = {
    MIXED: Weights(34, 34, 7, 2, 6, 2, 4, 2, 2, 2, 3, 1, 3),
    DECIDING: Weights(40, 40, 6, 1, 3, 1, 3, 1, 1, 1, 2, 1, 2),
    JOINING: Weights(38, 38, 12, 1, 3, 1, 3, 1, 1, 1, 1, 1, 2, join=7, separate=3),
    ORDERED: Weights(38, 38, 8, 5, 2, 1, 2, 1, 1, 1, 1, 1, 2, join=12, separate=3),
    AWAY: Weights(30, 30, 3, 1, 2, 1, 8, 5, 1, 1, 2, 1, 2, put_off=30, fetch=16),
    OPERATED: Weights(26, 50, 1, 0, 3, 1, 3, 2, 1, 1, 2, 1, 1, box=2, answer=6, cancel_late=1),
}

COPY_AGE_S = {AWAY: 600}
"""No copy older than this is put back, where phones drop what the base has had for long [s]."""

KEPT_S = 900
"""How long the base must have had what a phone drops: stands for the ninety days [s]."""


def story_of(seed: int) -> str:
    """Return the kind of history that a seed names."""
    if seed % DECIDING_EVERY == 0:
        return DECIDING
    if seed % JOINING_EVERY != 1:
        if seed % AWAY_EVERY == AWAY_EVERY // 2 + 1:
            return AWAY
        return OPERATED if seed % OPERATED_EVERY == OPERATED_FROM else MIXED
    return JOINING if seed // JOINING_EVERY % ORDERED_EVERY else ORDERED


def said(history: "History", phone: Phone, person: str) -> Said:
    """Return what the owner of a phone writes next."""
    ways = WAYS[history.plan.story, phone.role]
    return history.rng.choice(ways)(history, phone, person)


def may_measure(history: "History", phone: Phone) -> bool:
    """Say whether the owner of a phone measures now and then: a surgeon who did cannot decide."""
    return history.plan.story in (MIXED, AWAY) or phone.role == "optometrist"


def registration(history: "History") -> dict[str, Any]:
    """Return the registration of somebody new."""
    person = clinic.person_id(history.rng)
    history.people.append(person)
    return clinic.registration(person)


def _drawn(way: Callable[..., Said]) -> Way:
    return lambda history, phone, person: way(history.rng, phone, person)


def _decision(history: "History", phone: Phone, person: str) -> Said:
    """Settle or answer where the phone's page asks for it, decide otherwise."""
    rng = history.rng
    asked = clinic.asked_for(rng, phone, person)
    if asked is None and (phone.name != SETTLES or rng.random() < 0.2):
        return clinic.approval(rng, phone, person)
    return asked


def in_its_camp(history: "History", phone: Phone, said: dict[str, Any]) -> dict[str, Any]:
    """Return a record with the camp of its registration, where people belong to several."""
    if len(MEASURED[history.plan.story]) == 1:
        return said
    rows = clinic.of_kind(phone, said["person"], "person.registered")
    sites = [row.site for row in rows if row.payload["person"] == said["person"]]
    return {**said, "site": sites[0]} if sites else said


def ordered_for(history: "History") -> list[str]:
    """Return for whom the desk tries to order: those who were measured when all began."""
    return history.people[: len(MEASURED[history.plan.story])]


def _at_table(history: "History", phone: Phone, person: str) -> Said:
    """Answer what came late where the page asks for it, go on with the lens otherwise."""
    rng = history.rng
    looks = phone.role == "surgeon" and rng.random() < 0.3
    asked = clinic.asked_for(rng, phone, person) if looks else None
    return asked or table.at_table(rng, phone, person)


def _compared(history: "History", phone: Phone, person: str) -> Said:
    others = [one for one in history.people if one != person]
    return clinic.compared(history.rng, phone, person, others[0])


APPROVAL, TAKEN_BACK = _drawn(clinic.approval), _drawn(clinic.taken_back)
QUESTION, CORRECTION = _drawn(clinic.question), _drawn(clinic.correction)
SEEN_AFTER = _drawn(table.seen_after)
ANSWER, VOID = _drawn(clinic.answer), _drawn(clinic.void)
REQUEST: Way = lambda _history, phone, person: clinic.request(phone, person)  # noqa: E731
READING: Way = lambda history, _phone, person: clinic.reading(history.rng, person)  # noqa: E731
REGISTRATION: Way = lambda history, _phone, _person: registration(history)  # noqa: E731

WAYS: dict[tuple[str, str], list[Way]] = {
    (MIXED, "surgeon"): [APPROVAL, APPROVAL, APPROVAL, TAKEN_BACK, QUESTION, CORRECTION],
    (MIXED, "optometrist"): [
        REGISTRATION, READING, CORRECTION, VOID, REQUEST, ANSWER, TAKEN_BACK,
    ],
    (DECIDING, "surgeon"): [_decision] * 8 + [TAKEN_BACK, QUESTION],
    (DECIDING, "optometrist"): [REQUEST, ANSWER, ANSWER, ANSWER, READING],
    (JOINING, "surgeon"): [APPROVAL] * 8 + [TAKEN_BACK, QUESTION],
    (JOINING, "optometrist"): [_compared, _compared, REQUEST, ANSWER, READING, VOID],
    (ORDERED, "surgeon"): [APPROVAL] * 8 + [TAKEN_BACK, QUESTION],
    (ORDERED, "optometrist"): [_compared, _compared, REQUEST, ANSWER, READING, VOID],
    (OPERATED, "surgeon"): [_at_table] * 6 + [SEEN_AFTER, TAKEN_BACK],
    (OPERATED, "optometrist"): [SEEN_AFTER],
    (OPERATED, "theatre"): [_at_table],
}  # fmt: skip
WAYS |= {(AWAY, role): WAYS[MIXED, role] for role in ("surgeon", "optometrist")}
