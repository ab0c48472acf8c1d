"""Cases as an auditor reads them: by number, at every site; whose one is takes a reason, logged."""

from typing import NamedTuple

from webapp.flow import audit, kept_folds
from webapp.flow.actor import Actor
from webapp.flow.refusal import NotFound, Refused
from webapp.store import installation
from webapp.store.projections import case_lists, cases, theatre_lines
from webapp.store.projections.case_lists import Wanted

LIST = "case.list_pseudonymous"
IDENTIFY = "case.identify"
MOST = 500

REASONS = {
    "adverse_event": "An eye came to harm, or nearly",
    "recall": "A lens or a calculation was recalled",
    "complaint": "The person complained or asked",
    "sample": "A sample is compared with the paper",
    "law": "A law or a court asks for it",
}
"""Why somebody's identity may be asked for: codes, since free text would name people in the log."""


class CaseLine(NamedTuple):
    """One eye without its person."""

    person: str
    """The opaque number of the person."""
    eye: str
    site_title: str
    state: str
    since: str | None
    stops: int
    cautions: int
    unchecked: bool
    """Whether its lens was implanted with no check in theatre behind it."""


class Identity(NamedTuple):
    """Whose case it is."""

    name: str
    camp_code: str
    site_title: str


def listing(actor: Actor) -> list[CaseLine]:
    """Return the cases of every site without a name, the longest-waiting first."""
    actor.require(LIST)
    titles = installation.site_titles()
    sites = frozenset(titles)
    kept_folds.refresh_for_a_list(sites)
    unchecked = theatre_lines.unchecked(sites)
    return [
        CaseLine(
            row.person, row.eye, titles.get(row.site, row.site), row.state, row.since,
            row.stops, row.cautions, (row.person, row.eye) in unchecked,
        )
        for row in case_lists.lines(Wanted(sites), MOST)
    ]  # fmt: skip


def identify(actor: Actor, person: str, reason: str) -> Identity:
    """Return whose case it is, once the reason is in the audit log.

    Raises:
        NotFound: there is no such person.
        Refused: the reason is none of ``REASONS``.
    """
    actor.require(IDENTIFY)
    if reason not in REASONS:
        raise Refused("identity.reason", "Choose why you need to know whose case it is.", "reason")
    row = cases.find(person)
    if row is None:
        raise NotFound("person")
    audit.note("identity.opened", actor, person, reason)
    titles = installation.site_titles()
    return Identity(row.name, row.camp_code, titles.get(row.site, row.site))
