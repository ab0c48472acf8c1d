"""The base desk's worklist: eyes by state, and people found by name, village, code or phone."""

from typing import NamedTuple

from webapp.flow.actor import Actor

STATES = (
    "approved", "stale", "conflict", "queued", "returned", "ready", "measuring",
    "ordered", "declined", "cancelled",
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
    """``agrees``, ``differs``, ``other_core``, ``waiting`` or an empty text without a plan."""


def rows(actor: Actor, state: str = "", query: str = "", limit: int = 200) -> list[WorklistRow]:
    """Return the eyes this person may see, the longest-waiting first.

    Args:
        actor: who asks; only sites where they work as desk, surgeon or optometrist are listed.
        state: one of STATES, or an empty text for all.
        query: words to find in name, village, camp code or phone, any script; empty for all.
        limit: most rows returned.
    """
    raise NotImplementedError


def counts(actor: Actor, query: str = "") -> dict[str, int]:
    """Return how many eyes are in each of STATES (zeros included), under the same scoping."""
    raise NotImplementedError
