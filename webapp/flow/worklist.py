"""The base desk's worklist: eyes by state, and people found by name, village, code or phone."""

from typing import Any, NamedTuple

from webapp.flow import joined, kept_folds, recheck
from webapp.flow.actor import Actor
from webapp.store import installation
from webapp.store.projections import case_lists, cases, plan_checks
from webapp.store.projections.case_lists import Wanted

STATES = (
    "approved", "stale", "conflict", "queued", "returned", "ready", "measuring",
    "received", "ordered", "confirmed", "verified", "exchange_considered", "implanted", "followed",
    "declined",
    "cancelled",
)  # fmt: skip
"""Every state a case can be in, the ones that wait for the desk first."""


class WorklistRow(NamedTuple):
    """One eye of one person, as the list shows it."""

    person: str
    eye: str
    site: str
    site_title: str
    name: str
    village: str
    camp_code: str
    state: str
    state_why: str
    since: str | None
    """When the newest record of this eye was received (instant), None without one."""
    stops: int
    cautions: int
    check: str
    """``agrees``, ``differs``, ``unknown_core``, ``waiting`` or an empty text without a plan."""


class PersonLine(NamedTuple):
    """One person, as the list of people shows them."""

    person: str
    site_title: str
    since: str | None
    """When the newest record of the longest-waiting eye that was looked for was received."""
    fold: dict[str, Any]


class Sought(NamedTuple):
    """What a list is asked for."""

    state: str = ""
    """One of STATES, or an empty text for all."""
    query: str = ""
    """Words to find in name, village, camp code or phone, any script; empty for all."""
    overdue: bool = False
    """Whether only eyes whose order is late are wanted."""
    site: str = ""
    """One of the reader's sites, or an empty text for all of them."""


def rows(
    actor: Actor, state: str = "", query: str = "", limit: int | None = 200, says: str = ""
) -> list[WorklistRow]:
    """Return the eyes this person may see, the longest-waiting first.

    Args:
        actor: who asks; only sites where they work as desk, surgeon or optometrist are listed.
        state: as in ``Sought``.
        query: as in ``Sought``.
        limit: most rows returned; None for all of them.
        says: what the reason for the state begins with; empty for all.
    """
    wanted = _wanted(actor, Sought(state, query))._replace(says=says)
    found = case_lists.lines(wanted, limit)
    results = plan_checks.newest_by_eye({line.person for line in found})
    titles = installation.site_titles()
    return [
        WorklistRow(
            **line._asdict(),
            site_title=titles.get(line.site, line.site),
            check=results.get((line.person, line.eye), ""),
        )
        for line in found
    ]


def people(actor: Actor, sought: Sought, first: int, limit: int) -> list[PersonLine]:
    """Return the people with such an eye, the longest-waiting first; every fold is as of now.

    Args:
        actor: as for ``rows``.
        sought: which eyes.
        first: how many people come before the first one returned.
        limit: most people returned.
    """
    found = case_lists.people(_wanted(actor, sought), first, limit)
    # Whose earlier registration is where this reader may not look is listed all the same.
    homes = {person: joined.home_of(person) if at else person for person, _, at in found}
    folds = kept_folds.current_folds(homes.values())
    sites, titles = cases.sites_of(homes.values()), installation.site_titles()
    return [
        PersonLine(homes[person], titles.get(sites[homes[person]], ""), since, folds[homes[person]])
        for person, since, _ in found
    ]


def counts(actor: Actor, query: str = "", site: str = "") -> dict[str, int]:
    """Return how many eyes are in each of STATES (zeros included), under the same scoping."""
    found = case_lists.state_counts(_wanted(actor, Sought(query=query, site=site)))
    return {state: found.get(state, 0) for state in STATES}


def overdue_count(actor: Actor, query: str = "", site: str = "") -> int:
    """Return how many eyes have an order that is late, under the same scoping."""
    return case_lists.count(_wanted(actor, Sought(query=query, overdue=True, site=site)))


def is_up_to_date(actor: Actor) -> bool:
    """Say whether counts and order are those of today, not of the day before or another core."""
    return kept_folds.is_up_to_date(actor.sites_for("case.read"))


def _wanted(actor: Actor, sought: Sought) -> Wanted:
    mine = actor.sites_for("case.read")
    recheck.run_waiting(mine)
    kept_folds.refresh_for_a_list(mine)
    sites = mine & {sought.site} if sought.site else mine
    words = tuple(kept_folds.words_of(sought.query))
    return Wanted(sites, words, sought.state, sought.overdue, reader=mine)
