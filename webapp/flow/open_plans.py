"""Plans that are not ordered yet, and which of them the core in use would make otherwise."""

import json
from typing import NamedTuple

from webapp.core_bundle import core_sha256
from webapp.flow import kept_folds, recheck
from webapp.store import installation, journal
from webapp.store.projections import case_lists
from webapp.store.projections.case_lists import Wanted

OPEN = {"queued": "request", "approved": "approval"}
"""State of an eye -> the record that holds its plan then."""
EVERY = 1_000_000
"""More eyes than any hospital has: this list is of all of them."""


class OpenPlan(NamedTuple):
    """One request or approval that another core made, and what the one in use says of it."""

    person: str
    eye: str
    what: str
    """``request`` or ``approval``."""
    core: str
    """Which made it."""
    text: str
    """That it would be the same, or what would differ."""
    changes: bool


def of_other_cores() -> list[OpenPlan]:
    """Return the open plans of every site that another core than the one in use made."""
    sites = frozenset(installation.site_titles())
    kept_folds.refresh_sites(sites)
    found = []
    for state, what in OPEN.items():
        for line in case_lists.lines(Wanted(sites, state=state), EVERY):
            plan = _plan(line.person, line.eye, what)
            if plan is not None:
                found.append(plan)
    return found


def _plan(person: str, eye: str, what: str) -> OpenPlan | None:
    record_id = kept_folds.current_fold(person)["eyes"][eye][what]["id"]
    shown = json.loads(journal.entries_by_id([record_id])[record_id].payload)["body"]["shown"]
    if shown["core"] == core_sha256():
        return None
    text = recheck.by_present_core(shown)
    return OpenPlan(person, eye, what, shown["core"], text, text != recheck.SAME)
