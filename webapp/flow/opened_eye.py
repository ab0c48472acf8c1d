"""An eye that somebody at the desk writes about: in which of their roles, and how it stands."""

from typing import NamedTuple

from webapp.flow import kept_folds
from webapp.flow.actor import Actor
from webapp.flow.kept_folds import Fold
from webapp.flow.refusal import NotFound
from webapp.records.draft import Subject
from webapp.store.projections import cases


class OpenedEye(NamedTuple):
    """One eye as it stands, with what a record about it needs."""

    subject: Subject
    role: str
    fold: Fold
    """The person's, both eyes together."""


def opened(
    actor: Actor, person: str, eye: str, action: str, roles: tuple[str, ...]
) -> OpenedEye:  # fmt: skip
    """Return an eye to write about.

    Args:
        actor: who writes.
        person: whose.
        eye: "R" or "L".
        action: of the table of permissions.
        roles: that may, the one that speaks first where somebody holds several.

    Raises:
        NotFound: no such person at a site of theirs.
        Refused: they may read of this person, and not write this.
    """
    row = cases.find(person)
    if row is None:
        raise NotFound("person")
    actor.require_site(row.site, "person")
    actor.require(action, row.site)
    role = next(one for one in roles if actor.holds(one, row.site))
    kept_folds.refresh([person])
    return OpenedEye(Subject(person, eye, row.site), role, kept_folds.current_fold(person))
