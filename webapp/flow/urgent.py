"""Urgent readings after surgery at the base: which wait for an answer, and the answer (H37)."""

from datetime import date
from typing import Any, NamedTuple

from webapp.flow import accounts, desk_record, kept_folds, recheck
from webapp.flow.actor import Actor
from webapp.flow.desk_record import Draft
from webapp.flow.opened_eye import opened
from webapp.flow.refusal import Refused
from webapp.store import installation
from webapp.store.database import writing
from webapp.store.projections import follow_up_lines

ANSWERED = "urgent.answered"
# The surgeon's word before the desk's, where somebody holds both roles.
ROLES = ("surgeon", "desk")


class UrgentEye(NamedTuple):
    """One eye with urgent readings that nobody answered yet."""

    person: str
    eye: str
    name: str
    camp_code: str
    site_title: str
    items: list[dict[str, Any]]
    """Of the fold, the open ones."""


class Answer(NamedTuple):
    """What somebody at the base says about urgent readings."""

    text: str
    """What is done about them, and by whom."""
    comes_on: date | None = None
    """The day on which the eye is to be seen again, if one was agreed."""


def waiting(actor: Actor) -> list[UrgentEye]:
    """Return every eye at the actor's sites with an urgent reading that waits for an answer."""
    sites = actor.sites_for("case.read")
    recheck.run_waiting(sites)
    kept_folds.refresh_for_a_list(sites)
    titles = installation.site_titles()
    return [
        UrgentEye(
            line.person, line.eye, line.name, line.camp_code, titles.get(line.site, line.site),
            open_items(kept_folds.current_fold(line.person), line.eye),
        )
        for line in follow_up_lines.urgent(sites)
    ]  # fmt: skip


def open_items(fold: dict[str, Any], eye: str) -> list[dict[str, Any]]:
    """Return what is urgent in an eye and not answered."""
    return [one for one in fold["eyes"][eye]["urgent"] if one["open"]]


def answer(
    actor: Actor, person: str, eye: str, readings: list[str], said: Answer, passphrase: str
) -> list[str]:
    """Keep what is done about the urgent readings that were on the page; return the records' ids.

    Each lens of the eye gets a record of its own, since an answer counts for the lens it names.

    Args:
        actor: a surgeon or the desk.
        person: whose.
        eye: "R" or "L".
        readings: ids that the page showed; one that came up since stays open.
        said: what is done about them, and when the eye is seen again.
        passphrase: of the actor, for this answer.

    Raises:
        NotFound: no such person at a site of theirs.
        Refused: the passphrase is wrong, something else was answered than what is open, or a day
            was agreed for a lens that was taken out.
    """
    subject, role, fold = opened(actor, person, eye, "urgent.answer", ROLES)
    found = open_items(fold, eye)
    shown = [one for one in found if one["reading"] in readings]
    if not shown or len(shown) != len(set(readings)):
        raise Refused(
            "urgent.changed",
            "What is urgent in this eye has changed since this page was opened. Look again.",
        )
    implants = list(dict.fromkeys(one["implant"] for one in shown))
    if said.comes_on is not None:
        _require_in_eye(fold["eyes"][eye], implants)
    accounts.confirm(actor, passphrase)
    with writing():
        return [
            desk_record.write(actor, Draft(ANSWERED, subject, role, _body(one, shown, said)))
            for one in implants
        ]


def _body(implant: str, shown: list[dict[str, Any]], said: Answer) -> dict[str, Any]:
    """Return the body of the answer about the readings of one lens."""
    readings = {one["reading"] for one in shown if one["implant"] == implant}
    comes_on = None if said.comes_on is None else said.comes_on.isoformat()
    return {"implant": implant, "readings": sorted(readings), "text": said.text,
            "comes_on": comes_on}  # fmt: skip


def _require_in_eye(eye: dict[str, Any], implants: list[str]) -> None:
    """Refuse a day for lenses none of which lies in the eye any more: nobody would call for it."""
    if not any(one["id"] in implants and one["in_eye"] for one in eye["surgeries"]):
        raise Refused(
            "urgent.lens_out",
            "That lens was taken out: the recall list calls nobody for it. Leave the day empty, "
            "write into the answer who sees this eye and when, and see that it is done.",
            "comes_on",
        )
