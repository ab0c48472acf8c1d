"""A page of the worklist: people with both eyes each, found through the eyes at one step."""

from collections.abc import Mapping
from typing import Any, NamedTuple

from webapp.desk.states import ORDERED
from webapp.flow import casefile, worklist
from webapp.flow.actor import Actor

PEOPLE_A_PAGE = 50
EYES_OF_ONE = 2


class EyeCell(NamedTuple):
    """One eye in a row: its state and the one line below it."""

    state: str
    state_why: str
    lens: Mapping[str, Any] | None
    """The lens approved or ordered, where that stands."""
    missing: int
    wanted: int
    question: str
    overdue: str = ""
    """Why its order is late, an empty text while it is not."""
    after_order: str = ""
    """What has to be done since something came after the order: answer, cancel, plan_again."""


class Row(NamedTuple):
    """One person with both eyes."""

    person: str
    name: str
    birth_date: str | None
    birth_year: int | None
    camp_code: str
    site_title: str
    since: str | None
    eyes: dict[str, EyeCell]


class Page(NamedTuple):
    """One page of people and whether there is another."""

    rows: list[Row]
    number: int
    has_more: bool


def page(actor: Actor, state: str, query: str, number: int, overdue: bool = False) -> Page:
    """Return page ``number``, 1 for the first, of the people with an eye in ``state``.

    Args:
        actor: who asks; only their sites are read.
        state: a state of a case, or an empty text for all.
        query: words of a search, or an empty text.
        number: 1 or more.
        overdue: whether only people with a late order are wanted.
    """
    last = number * PEOPLE_A_PAGE
    most = EYES_OF_ONE * last + EYES_OF_ONE
    eyes = worklist.rows(actor, state, query, most, overdue)
    since: dict[str, str | None] = {}
    for eye in eyes:
        since.setdefault(eye.person, eye.since)
    people = list(since)
    shown = people[last - PEOPLE_A_PAGE : last]
    rows = [_row(casefile.person_file(actor, person), since[person]) for person in shown]
    return Page(rows, number, has_more=len(people) > last)


def _row(file: casefile.PersonFile, since: str | None) -> Row:
    """Return one person's row."""
    person = file.fold["person"]
    return Row(
        person=file.person,
        name=person["name"],
        birth_date=person["birth_date"],
        birth_year=person["birth_year"],
        camp_code=person["camp_code"],
        site_title=file.site_title,
        since=since,
        eyes={code: _cell(file.fold["eyes"][code]) for code in ("R", "L")},
    )


def _cell(eye: Mapping[str, Any]) -> EyeCell:
    """Return one eye's cell; a lens is shown only while the approval or order stands."""
    question = eye["question"]
    return EyeCell(
        state=eye["state"],
        state_why=eye["state_why"] or "",
        lens=_standing_lens(eye),
        missing=len(eye["missing"]),
        wanted=len(eye["wanted"]),
        question=question["text"] if question and not question["answered"] else "",
        overdue=eye["overdue"]["text"] if eye["overdue"] else "",
        after_order=_after_order(eye["late"]),
    )


def _after_order(late: Mapping[str, Any] | None) -> str:
    """Return the next step after something came late, an empty text without one."""
    return "" if late is None or late["next"] == "none" else str(late["next"])


def _standing_lens(eye: Mapping[str, Any]) -> Mapping[str, Any] | None:
    if eye["state"] in ORDERED and eye["order"]:
        lens: Mapping[str, Any] = eye["order"]["lens"]
        return lens
    if eye["state"] == "approved" and eye["approval"]:
        approved: Mapping[str, Any] = eye["approval"]["shown"]["lens"]
        return approved
    return None
