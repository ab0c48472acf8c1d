"""Operated eyes whose visit is due, late or lost, and every try to bring somebody back."""

from typing import Any, NamedTuple

from webapp.flow import desk_record, kept_folds, recheck
from webapp.flow.actor import Actor
from webapp.flow.desk_record import Draft
from webapp.flow.follow_ups import CALLING, calling_for
from webapp.flow.opened_eye import opened
from webapp.flow.refusal import Refused
from webapp.store import installation
from webapp.store.database import writing
from webapp.store.projections import follow_up_lines

CONTACT = "recall.contact"
ROLES = ("desk", "optometrist", "surgeon")
MOST_OF_ONE_STATE = 50
"""Longer lists are worked off from their top, where the longest waiting are."""


class RecallEye(NamedTuple):
    """One operated eye on the recall list."""

    person: str
    eye: str
    name: str
    village: str
    camp_code: str
    site_title: str
    phone: str | None
    state: str
    schedule: dict[str, Any]
    contacts: list[dict[str, Any]]
    """Of the fold, oldest first."""


def listed(actor: Actor, site: str = "") -> list[RecallEye]:
    """Return the eyes that call for somebody, the lost first, then overdue, then due.

    Args:
        actor: who asks; only sites where they read cases are listed.
        site: one of those sites, or an empty text for all of them.
    """
    sites = actor.sites_for("case.read")
    if site:
        sites &= {site}
    recheck.run_waiting(sites)
    kept_folds.refresh_for_a_list(sites)
    titles = installation.site_titles()
    lines = [
        line
        for state in CALLING
        for line in follow_up_lines.calling(sites, state, MOST_OF_ONE_STATE)
    ]
    folds = kept_folds.current_folds({line.person for line in lines})
    return [_eye(line, folds[line.person], titles) for line in lines]


def _eye(
    line: follow_up_lines.FollowUpLine, fold: dict[str, Any], titles: dict[str, str]
) -> RecallEye:
    surgeries = fold["eyes"][line.eye]["surgeries"]
    schedule = dict(calling_for(surgeries) or {})
    contacts = [one for surgery in surgeries if surgery["in_eye"] for one in surgery["contacts"]]
    phone = fold["person"]["phone"] if fold["person"] else None
    return RecallEye(
        line.person, line.eye, line.name, line.village, line.camp_code,
        titles.get(line.site, line.site), phone, line.follow, schedule, contacts,
    )  # fmt: skip


def keep_contact(actor: Actor, person: str, eye: str, said: dict[str, Any]) -> str:
    """Keep one try to bring somebody back; return the record's id.

    Args:
        actor: whoever called.
        person: whose.
        eye: "R" or "L".
        said: ``how``, ``reached``, ``text`` and ``comes_on`` of the record.

    Raises:
        NotFound: no such person at a site of theirs.
        Refused: the eye has no lens on record, or more than one.
    """
    subject, role, fold = opened(actor, person, eye, "recall.contact", ROLES)
    everything = fold["eyes"][eye]["surgeries"]
    surgeries = [one for one in everything if one["in_eye"]]
    if len(surgeries) != 1:
        raise Refused(
            "recall.no_lens",
            "There is not just one lens in this eye by the records: a call can’t be tied to it.",
        )
    with writing():
        body = {"implant": surgeries[0]["id"], **said}
        return desk_record.write(actor, Draft(CONTACT, subject, role, body))
