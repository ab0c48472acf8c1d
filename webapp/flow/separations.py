"""Separations that one person proposed and another has to confirm, for the worklist."""

from typing import NamedTuple

from webapp.flow import casefile, two_people
from webapp.flow.actor import Actor
from webapp.flow.joining import JOIN, SEPARATE, between
from webapp.flow.two_people import Proposal


class Waiting(NamedTuple):
    """Two registrations that somebody proposed to separate."""

    record: str
    """One of the records that join them; its page is where the proposal is confirmed."""
    name: str
    camp_code: str
    by_name: str
    is_own: bool
    """Whether the reader proposed it, so that somebody else has to confirm it."""


def waiting(actor: Actor) -> list[Waiting]:
    """Return what waits for a second person, the oldest first.

    Only whoever may join at both camps reads whose registrations they are.
    """
    found = [_waiting(actor, one) for one in two_people.pending(SEPARATE)]
    return [one for one in found if one is not None]


def _waiting(actor: Actor, proposal: Proposal) -> Waiting | None:
    """Return one proposal as the reader sees it; None for one that is over or none of theirs."""
    pair = (proposal.subject, proposal.detail)
    halves = [casefile.half_of(person) for person in pair]
    joined = between(*pair)
    if not joined or not all(actor.may(JOIN, half.site) for half in halves):
        return None
    body, is_own = halves[0].body, proposal.by == actor.user_id
    return Waiting(joined[0].record, body["name"], body["camp_code"], proposal.by_name, is_own)
