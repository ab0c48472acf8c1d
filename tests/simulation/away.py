"""People who are put off: what a phone drops lies at the base, and comes back whole."""

from typing import TYPE_CHECKING

from tests.simulation import checks, clinic, stories
from tests.simulation.phone import Phone

if TYPE_CHECKING:
    from tests.simulation.history import History


def put_off(history: "History", phone: Phone) -> None:
    """Let a phone exchange and drop somebody, if the base has had all of theirs for long."""
    known = [one for one in history.people if clinic.of_kind(phone, one, "person.registered")]
    if known:
        history.exchange(phone, phone.tidy(history.rng.choice(known), stories.KEPT_S))


def fetch(history: "History", phone: Phone) -> None:
    """Let somebody who was put off be fetched by the button."""
    if phone.store.put_off:
        person = history.rng.choice(sorted(phone.store.put_off))
        history.exchange(phone, phone.fetch(person))


def is_away(phone: Phone, person: str) -> bool:
    """Say whether something of a person, under whichever registration, lies at the base only."""
    return any(one in phone.store.put_off for one in phone.registrations(person))


def in_part(history: "History", phone: Phone) -> None:
    """Of somebody who was put off a phone holds the registration and nothing else."""
    away = phone.store.put_off
    if away and any(
        row.payload["person"] in away and row.payload["kind"] != "person.registered"
        for row in phone.store.records.values()
    ):
        history.fail("a phone holds a part of somebody whose records lie at the base")


def dropped(history: "History", before: set[str], phone: Phone) -> None:
    """S6: a phone drops nothing that the base does not have."""
    in_part(history, phone)
    gone = before - set(phone.store.records)
    if not gone:
        return
    history.count("dropped", len(gone))
    if gone - checks.at_base():
        history.fail("S6 a phone dropped what the base does not have")


def fetch_all(history: "History") -> None:
    """Let every phone fetch whom it put off: it must then hold what the base holds."""
    for phone in history.phones:
        for person in sorted(phone.store.put_off):
            history.count("fetched_again")
            history.start(phone, phone.fetch(person))
            history.finish()
            if person in phone.store.put_off:
                history.fail("S4 somebody who was put off did not come back when asked for")
