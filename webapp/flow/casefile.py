"""One person's file: the fold of all their records, with the names of who did what."""

import json
from collections.abc import Mapping
from typing import Any, NamedTuple

from webapp.core_bundle import core_sha256
from webapp.flow import clock, folding, joined, recheck
from webapp.flow.actor import Actor
from webapp.flow.calculation import as_entry, ask
from webapp.flow.kept_folds import Fold, current_fold, refresh, standing_registrations
from webapp.flow.recheck import Check
from webapp.flow.refusal import NotFound
from webapp.store import accounts, installation, journal
from webapp.store.projections import cases


class PersonFile(NamedTuple):
    """Everything the pages show about one person; both eyes together."""

    person: str
    site: str
    site_title: str
    fold: Fold
    """The core's answer to ``fold``: person, history, eyes R and L."""
    checks: dict[str, Check]
    """Record id of each plan request and approval -> its check."""
    names: dict[str, str]
    """User id -> name as shown, for every author in the file."""
    payloads: dict[str, dict[str, Any]]
    """Record id -> signed payload, for every record of this person."""
    received: dict[str, str]
    """Record id -> instant at which the server received it."""
    halves: list["Half"]
    """Every registration of the person, the earliest first."""


class Half(NamedTuple):
    """One registration of a person."""

    person: str
    site: str
    site_title: str
    body: dict[str, Any]


def person_file(actor: Actor, person: str) -> PersonFile:
    """Return the person's file as of now, under the registration that they go by.

    Raises:
        NotFound: no such person at a site of theirs.
    """
    row = home_row(actor, person)
    halves = joined.registrations(person)
    for half in halves:
        recheck.run_waiting_of(half)
    refresh(halves)
    entries = joined.entries_of(person)
    return PersonFile(
        row.person,
        row.site,
        installation.site_titles().get(row.site, row.site),
        current_fold(row.person),
        {name: check for half in halves for name, check in recheck.checks_of(half).items()},
        accounts.names(),
        {entry.id: json.loads(entry.payload) for entry in entries},
        {entry.id: entry.received_at for entry in entries},
        [half_of(half) for half in halves],
    )


def half_of(person: str) -> Half:
    """Return one registration as it stands, whatever it is joined with.

    Raises:
        NotFound: nobody is registered under this id.
    """
    row = cases.find(person)
    if row is None:
        raise NotFound("person")
    live = standing_registrations(journal.entries_of_person(person))
    body: dict[str, Any] = json.loads(live[-1].payload)["body"]
    return Half(person, row.site, installation.site_titles().get(row.site, row.site), body)


def plan_now(
    actor: Actor, person: str, eye: str, shown: Mapping[str, Any] | None = None
) -> dict[str, Any]:
    """Return the core's PLAN for this eye from the records and reference held now.

    Args: as ``working_now``.
    """
    return _ask_now(actor, person, eye, {"do": "plan", **_wishes(shown)})


def exchange_now(
    actor: Actor, person: str, eye: str, shown: Mapping[str, Any] | None = None
) -> dict[str, Any]:
    """Return what the core says of the lens in this eye from the records held now.

    Args: as ``working_now``.
    """
    return _ask_now(actor, person, eye, {"do": "exchange", **_wishes(shown)})


def working_now(
    actor: Actor, person: str, eye: str, shown: Mapping[str, Any] | None
) -> dict[str, Any]:
    """Return the core's working for this eye from the records and reference held now.

    Args:
        actor: who asks.
        person: whose.
        eye: "R" or "L".
        shown: what an approval showed, whose lens and aims are worked out; None for the
            recommended lens.
    """
    return _ask_now(actor, person, eye, {"do": "working", **_wishes(shown)})


def _wishes(shown: Mapping[str, Any] | None) -> dict[str, Any]:
    wishes = {"choice": shown["lens"] if shown else None}
    for name in ("target", "surgical_change"):
        wishes[name] = shown.get(name) if shown else None
    return wishes


def _ask_now(actor: Actor, person: str, eye: str, asked: dict[str, Any]) -> dict[str, Any]:
    home_row(actor, person)
    return ask(
        {
            "entries": [as_entry(entry) for entry in joined.entries_of(person)],
            "reference": folding.in_force(),
            "eye": eye,
            "today": clock.today(),
            "core": core_sha256(),
            **asked,
        }
    )


def home_row(actor: Actor, person: str) -> cases.PersonRow:
    """Return the row that a person goes by, for whoever works where any of their halves is.

    Raises:
        NotFound: no such person at a site of theirs.
    """
    rows = [row for row in map(cases.find, joined.registrations(person)) if row is not None]
    if not any(actor.may_read(row.site) for row in rows):
        raise NotFound("person")
    return rows[0]
