"""One person's file: the core's fold of all their records, with the names of who did what."""

from typing import Any, NamedTuple

from webapp.flow.actor import Actor


class Check(NamedTuple):
    """What recomputing a plan here gave, against what the phone showed."""

    result: str
    """``agrees``, ``differs`` or ``other_core``."""
    text: str


class PersonFile(NamedTuple):
    """Everything the pages show about one person; both eyes together."""

    person: str
    site: str
    site_title: str
    fold: dict[str, Any]
    """The core's answer to ``fold``: person, history, eyes R and L."""
    checks: dict[str, Check]
    """Record id of each plan request and approval -> its check."""
    names: dict[str, str]
    """User id -> name as shown, for every author in the file."""
    payloads: dict[str, dict[str, Any]]
    """Record id -> signed payload, for every record of this person."""
    received: dict[str, str]
    """Record id -> instant at which the server received it."""


def person_file(actor: Actor, person: str) -> PersonFile:
    """Return the person's file as of now; NotFound when unknown or at another site."""
    raise NotImplementedError


def plan_now(actor: Actor, person: str, eye: str) -> dict[str, Any]:
    """Return the core's PLAN for this eye from the records and reference held now."""
    raise NotImplementedError
