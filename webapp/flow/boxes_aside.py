"""Boxes that were put aside in theatre: the list, and saying what became of one."""

from typing import Any, NamedTuple

from webapp.flow import accounts, desk_record, joined, kept_folds
from webapp.flow.actor import Actor
from webapp.flow.desk_record import Draft
from webapp.flow.refusal import NotFound
from webapp.flow.theatre_list import READ, WRITE
from webapp.records.draft import Subject
from webapp.store import installation, journal
from webapp.store.accounts import names as names_of
from webapp.store.database import writing
from webapp.store.projections import cases, theatre_lines
from webapp.store.projections.theatre_lines import TheatreLine


class Aside(NamedTuple):
    """One box with the eye at which it was put aside."""

    id: str
    person: str
    eye: str
    site: str
    site_title: str
    name: str
    camp_code: str
    order_id: str
    serials: list[str]
    why: str
    by: str
    wall: str


def waiting(actor: Actor) -> list[Aside]:
    """Return the boxes of this person's sites of which nobody said yet what became of them."""
    sites = actor.sites_for(READ)
    kept_folds.refresh_for_a_list(sites)
    return [one for line in theatre_lines.aside(sites) for one in _of(line)]


def find(actor: Actor, record_id: str) -> Aside:
    """Return one box that is still put aside. Raises: NotFound."""
    fact = journal.facts([record_id]).get(record_id)
    if fact is None or fact.person is None or fact.eye is None or not actor.may(WRITE, fact.site):
        raise NotFound("box")
    row = cases.find(joined.home_of(fact.person))
    if row is None:
        raise NotFound("box")
    line = TheatreLine(
        row.person, fact.eye, row.site, row.name, row.village, row.camp_code, "", ""
    )  # fmt: skip
    for one in _of(line):
        if one.id == record_id:
            return one
    raise NotFound("box")


def answer(
    actor: Actor, record_id: str, becomes: str, note: str | None, passphrase: str
) -> None:  # fmt: skip
    """Record what became of a box.

    Raises:
        NotFound: no such box is put aside at a site where this person writes the list.
        Refused: the passphrase is wrong, or somebody said it meanwhile; nothing was changed.
    """
    accounts.confirm(actor, passphrase)
    with writing():
        one = find(actor, record_id)
        body: dict[str, Any] = {"aside": one.id, "becomes": becomes, "note": note}
        subject = Subject(one.person, one.eye, one.site)
        desk_record.write(actor, Draft("box.answered", subject, "desk", body))


def _of(line: TheatreLine) -> list[Aside]:
    found = kept_folds.current_fold(line.person)["eyes"][line.eye]["aside"]
    named = names_of()
    title = installation.site_titles().get(line.site, line.site)
    return [
        Aside(
            one["id"],
            line.person,
            line.eye,
            line.site,
            title,
            line.name,
            line.camp_code,
            one["order"],
            one["serials"],
            one["text"],
            named.get(one["author"], one["author"]),
            one["wall"],
        )
        for one in found
        if one["answer"] is None
    ]
