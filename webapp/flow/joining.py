"""Joining two registrations of one person, and separating them again: both at every camp at once.

Each camp gets a record of its own, so that its phones know of it; the rules are in
``admission_joining``.
"""

import json
from typing import Any, NamedTuple

from webapp.flow import accounts, audit, casefile, desk_record, duplicates, kept_folds, two_people
from webapp.flow.actor import Actor
from webapp.flow.casefile import Half
from webapp.flow.desk_record import Draft
from webapp.flow.kept_folds import Fold
from webapp.flow.refusal import NotFound, Refused
from webapp.flow.two_people import Proposal
from webapp.records.draft import Correction, Subject
from webapp.store import journal
from webapp.store.database import writing
from webapp.store.journal import Entry
from webapp.store.projections import joins
from webapp.store.projections.joins import Join

JOIN = "person.join"
SEPARATE = "person.separate"
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


def separation(actor: Actor, record: str) -> Proposal | None:
    """Return the proposal to separate the two that a record joined, if one waits."""
    pair = _proposed_pair(actor, record)
    waiting = two_people.pending(SEPARATE)
    return next((one for one in waiting if (one.subject, one.detail) == pair), None)


def propose_separation(actor: Actor, record: str, reason: str, passphrase: str) -> None:
    """Propose that two registrations are of two people after all; nothing changes yet.

    Raises:
        NotFound: no such joining at sites of theirs.
        Refused: the passphrase is wrong, they were separated already, or it is proposed.
    """
    pair = _proposed_pair(actor, record)
    both(actor, *pair)
    accounts.confirm(actor, passphrase)
    with writing():
        _standing(*pair)
        if separation(actor, record):
            raise Refused("joined.proposed", "Somebody has proposed this already. Read it again.")
        two_people.propose(actor, SEPARATE, *pair, words=reason)


def confirm_separation(actor: Actor, record: str, passphrase: str) -> str:
    """Separate what somebody else proposed to separate; return one of the registrations.

    Raises:
        NotFound: no such joining at sites of theirs, or no proposal that waits.
        Refused: their own proposal, a wrong passphrase, or they were separated already.
    """
    person, other = _proposed_pair(actor, record)
    sites = {one.half.person: one.half.site for one in both(actor, person, other)}
    accounts.confirm(actor, passphrase)
    with writing():
        waiting = separation(actor, record)
        if waiting is None:
            raise NotFound("proposal; it was settled, or a week has passed")
        standing = _standing(person, other)
        said = two_people.confirm(actor, SEPARATE, waiting.id, JOIN)
        for one in standing:
            body = {"target": one.record, "proposed_by": said.by}
            _write(actor, "person.split", one.person, sites[one.person], body, said.words)
        audit.note("person.separated", actor, person, other)
    return person


def _proposed_pair(actor: Actor, record: str) -> tuple[str, str]:
    """Return the two that a record joined, the earlier first, whichever camp's it is."""
    first, second = sorted(pair_of(actor, record))
    return first, second


def _standing(person: str, other: str) -> list[Join]:
    """Return the records that join these two. Raises: Refused where none stands any more."""
    found = between(person, other)
    if not found:
        raise Refused("target.not_live", "These registrations were separated already.")
    return found


def between(person: str, other: str) -> list[Join]:
    """Return the records that join these two now; empty where they stand apart."""
    here = {person, other}
    return [one for one in joins.touching(person) if {one.person, one.other} == here]


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
    return Beside(half, kept_folds.current_fold(person))


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
