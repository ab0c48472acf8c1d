"""Joining two registrations of one person, and separating them again: both at every camp at once.

Each camp gets a record of its own, so that its phones know of it; the rules are in
``admission_joining``.
"""

import json
from typing import Any, NamedTuple

from webapp.flow import accounts, audit, casefile, desk_record, duplicates
from webapp.flow.actor import Actor
from webapp.flow.casefile import Fold, Half
from webapp.flow.desk_record import Draft
from webapp.flow.refusal import NotFound, Refused
from webapp.records.draft import Correction, Subject
from webapp.store import journal
from webapp.store.database import writing
from webapp.store.journal import Entry
from webapp.store.projections import joins

JOIN = "person.join"
ROLES = ("desk", "surgeon")


class Beside(NamedTuple):
    """One registration as a page shows it beside another one."""

    half: Half
    fold: Fold


def both(actor: Actor, person: str, other: str) -> list[Beside]:
    """Return two registrations, the earlier first, for whoever may join them.

    Raises:
        NotFound: one of them is not at a site of theirs.
        Refused: they hold no role at one of the sites that may join.
    """
    return [_beside(actor, one) for one in sorted((person, other))]


def join(actor: Actor, person: str, other: str, reason: str, passphrase: str) -> None:
    """Record that two registrations are of one person.

    Raises:
        NotFound: one of them is not at a site of theirs.
        Refused: the passphrase is wrong, or a rule does not allow it; nothing was recorded.
    """
    pair = [one.half for one in both(actor, person, other)]
    accounts.confirm(actor, passphrase)
    with writing():
        compared = _judgement(actor, person, other)
        for near, far in (pair, reversed(pair)):
            body = {"other": far.person, "place": far.site_title, "compared": compared}
            _write(actor, "person.merged", near.person, near.site, body, reason)
        audit.note("person.joined", actor, person, other)


def separate(actor: Actor, record: str, reason: str, passphrase: str) -> str:
    """Record that two registrations are of two people after all; return one of them.

    Raises:
        NotFound: no such joining at sites of theirs.
        Refused: the passphrase is wrong, or they were separated already.
    """
    person, other = pair_of(actor, record)
    sites = {one.half.person: one.half.site for one in both(actor, person, other)}
    here = {person, other}
    accounts.confirm(actor, passphrase)
    with writing():
        standing = [one for one in joins.touching(person) if {one.person, one.other} == here]
        if not standing:
            raise Refused("target.not_live", "These registrations were separated already.")
        for one in standing:
            body = {"target": one.record}
            _write(actor, "person.split", one.person, sites[one.person], body, reason)
        audit.note("person.separated", actor, person, other)
    return person


def pair_of(actor: Actor, record: str) -> tuple[str, str]:
    """Return the two registrations that a record joined. Raises: NotFound."""
    entry = journal.entries_by_id([record]).get(record)
    if entry is None or entry.kind != "person.merged" or not actor.may_read(entry.site):
        raise NotFound("joining")
    return str(entry.person), str(_body(entry)["other"])


def _beside(actor: Actor, person: str) -> Beside:
    half = casefile.half_of(person)
    actor.require_site(half.site, "person")
    actor.require(JOIN, half.site)
    return Beside(half, casefile.current_fold(person))


def _judgement(actor: Actor, person: str, other: str) -> str:
    """Return the newest judgement of somebody else that the two are one person."""
    said = [one for one in duplicates.comparisons(person, other) if _body(one)["answer"] == "same"]
    others = [one for one in said if one.author != actor.user_id]
    if not said:
        raise Refused(
            "joined.not_compared",
            "Nobody has compared these two and said that they are one person. Compare them first.",
        )
    # Where only their own is there, the rules say that somebody else must join.
    return (others or said)[-1].id


def _write(
    actor: Actor, kind: str, person: str, site: str, body: dict[str, Any], reason: str
) -> None:
    role = next(one for one in ROLES if actor.holds(one, site))
    subject = Subject(person, None, site)
    desk_record.write(actor, Draft(kind, subject, role, body, Correction(None, reason)))


def _body(entry: Entry) -> dict[str, Any]:
    body: dict[str, Any] = json.loads(entry.payload)["body"]
    return body
