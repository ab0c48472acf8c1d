"""A page of the worklist: people with both eyes each, found through the eyes at one step."""

from collections.abc import Mapping
from typing import Any, NamedTuple

from webapp.desk.moments import day
from webapp.desk.states import IN_THE_EYE, ORDERED
from webapp.flow import asking, worklist
from webapp.flow.actor import Actor
from webapp.flow.worklist import PersonLine, Sought

PEOPLE_A_PAGE = 50


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
    stop_after: str = ""
    """What stops an eye after its surgery, in its title; an empty text where nothing does."""
    asked: str = ""
    """Why an exchange of its lens is to be weighed, an empty text while nobody waits for that."""


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


def page(actor: Actor, sought: Sought, number: int) -> Page:
    """Return page ``number``, 1 for the first, of the people with such an eye.

    Args:
        actor: who asks; only their sites are read.
        sought: which eyes.
        number: 1 or more.
    """
    first = (number - 1) * PEOPLE_A_PAGE
    found = worklist.people(actor, sought, first, PEOPLE_A_PAGE + 1)
    rows = [_row(line) for line in found[:PEOPLE_A_PAGE]]
    return Page(rows, number, has_more=len(found) > PEOPLE_A_PAGE)


def _row(line: PersonLine) -> Row:
    """Return one person's row."""
    person = line.fold["person"]
    return Row(
        person=line.person,
        name=person["name"],
        birth_date=person["birth_date"],
        birth_year=person["birth_year"],
        camp_code=person["camp_code"],
        site_title=line.site_title,
        since=line.since,
        eyes={code: _cell(line.fold["eyes"][code]) for code in ("R", "L")},
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
        stop_after=_stop_after(eye),
        asked=_asked(eye),
    )


def _asked(eye: Mapping[str, Any]) -> str:
    """Return why an exchange is to be weighed; an empty text where nobody asks or can decide it."""
    waiting = asking.unanswered(eye)
    if not waiting:
        return ""
    return f"{waiting[-1]['text']}, asked {day(waiting[0]['wall'])}"


def _stop_after(eye: Mapping[str, Any]) -> str:
    """Return what stops an eye whose lens is in it, an empty text where nothing does.

    Before surgery a stop is part of the way to a plan; afterwards it is somebody's eye.
    """
    if eye["state"] not in IN_THE_EYE:
        return ""
    return next((str(one["title"]) for one in eye["findings"] if one["level"] == "stop"), "")


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
