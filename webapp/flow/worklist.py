"""The base desk's worklist: eyes by state, and people found by name, village, code or phone."""

from typing import NamedTuple

from webapp.flow import casefile, recheck
from webapp.flow.actor import Actor
from webapp.store import installation
from webapp.store.projections import cases, plan_checks

STATES = (
    "approved", "stale", "conflict", "queued", "returned", "ready", "measuring",
    "received", "ordered", "confirmed", "verified", "implanted", "followed", "declined",
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


def rows(
    actor: Actor, state: str = "", query: str = "", limit: int = 200, overdue: bool = False
) -> list[WorklistRow]:
    """Return the eyes this person may see, the longest-waiting first.

    Args:
        actor: who asks; only sites where they work as desk, surgeon or optometrist are listed.
        state: one of STATES, or an empty text for all.
        query: words to find in name, village, camp code or phone, any script; empty for all.
        limit: most rows returned.
        overdue: whether only eyes whose order is late are wanted.
    """
    sites = _up_to_date_sites(actor)
    found = cases.lines(sites, state, casefile.words_of(query), limit, overdue)
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


def counts(actor: Actor, query: str = "") -> dict[str, int]:
    """Return how many eyes are in each of STATES (zeros included), under the same scoping."""
    found = cases.state_counts(_up_to_date_sites(actor), casefile.words_of(query))
    return {state: found.get(state, 0) for state in STATES}


def overdue_count(actor: Actor, query: str = "") -> int:
    """Return how many eyes have an order that is late, under the same scoping."""
    return cases.overdue_count(_up_to_date_sites(actor), casefile.words_of(query))


def _up_to_date_sites(actor: Actor) -> frozenset[str]:
    sites = actor.sites_for("case.read")
    recheck.run_waiting(sites)
    casefile.refresh_sites(sites)
    return sites
