"""What a phone is told after it has sent: how the plans of its sites fared when computed again."""

from typing import NamedTuple

from webapp.flow import recheck
from webapp.flow.actor import Actor
from webapp.store.projections import plan_checks


class CheckLine(NamedTuple):
    """The outcome of computing one plan request or approval again."""

    id: str
    result: str
    text: str


def checks(actor: Actor) -> list[CheckLine]:
    """Return the checks of the plans of this person's sites, making those that wait."""
    sites = actor.sites_for("record.pull")
    recheck.run_waiting(sites)
    return [CheckLine(row.record, row.result, row.text) for row in plan_checks.of_sites(sites)]
