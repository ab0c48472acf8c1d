"""The theatre's list of a day: which eyes are on it, whether each is ready, and putting them on."""

from typing import Any, NamedTuple

from webapp.core.case import theatre_sheet
from webapp.flow import accounts, desk_record, folding, joined, kept_folds, theatre_question
from webapp.flow.actor import Actor
from webapp.flow.desk_record import Draft
from webapp.flow.refusal import NotFound, Refused
from webapp.records.draft import NO_CORRECTION, Correction, Subject
from webapp.store import installation
from webapp.store.database import writing
from webapp.store.projections import cases, orders, theatre_lines
from webapp.store.projections.orders import OrderLine
from webapp.store.projections.theatre_lines import TheatreLine

READ, WRITE = "theatre.list_read", "theatre.list_write"
MOST = 200
"""Eyes on one page."""
BEFORE_THEATRE = ("verified", "received", "confirmed", "ordered")
"""States of an eye that may be put on a list; only the first is ready."""


class Listed(NamedTuple):
    """One eye as the list shows it."""

    person: str
    eye: str
    site_title: str
    name: str
    camp_code: str
    birth_date: str | None
    birth_year: int | None
    order_id: str
    number: str
    lens: dict[str, Any]
    box: dict[str, Any] | None
    """The check that released the box: lot, serial number, last day; None while none did."""
    theatre: dict[str, Any]
    """As the fold says it."""
    state: str
    backup: str | None
    """Which of two lenses this is, in a sentence; None where there is one alone."""

    @property
    def code(self) -> str | None:
        """What the code on a sheet says; None for an eye that is not ready."""
        listed, label = self.theatre["listed"], self.theatre["label"]
        if listed is None or label is None:
            return None
        return theatre_sheet.code_of(self.order_id, listed["id"], label)


class Answer(NamedTuple):
    """What came of one eye that was to be put on a list."""

    name: str
    eye: str
    refusal: Refused | None


class Said(NamedTuple):
    """What the code of a sheet of paper comes to."""

    current: bool
    text: str
    order_id: str | None


def on(actor: Actor, day: str) -> list[Listed]:
    """Return the eyes of this person's sites that are on the list of a day."""
    return [_eye(line) for line in theatre_lines.on(_up_to_date_sites(actor), day)]


def days(actor: Actor, first: str) -> list[tuple[str, int]]:
    """Return each day from a first one on that has a list, with its number of eyes."""
    return theatre_lines.days(_up_to_date_sites(actor), first)


def off(actor: Actor) -> list[Listed]:
    """Return the eyes with an order that are on no list yet, those ready for theatre first."""
    sites = actor.sites_for(WRITE)
    kept_folds.refresh_for_a_list(sites)
    lines = [line for state in BEFORE_THEATRE for line in theatre_lines.off(sites, [state], MOST)]
    return [one for one in map(_eye_or_none, lines[:MOST]) if one is not None]


def find(actor: Actor, order_id: str) -> Listed:
    """Return one eye by its order. Raises: NotFound, also where the order ended."""
    return _found(_line(actor, order_id, READ))


def put(
    actor: Actor, order_ids: list[str], day: str, place: str | None, passphrase: str
) -> list[Answer]:
    """Put eyes on the list of a day, each alone: one that cannot be stops no other.

    Raises:
        NotFound: no such order at a site where this person writes the list.
        Refused: the passphrase is wrong; nothing was changed.
    """
    accounts.confirm(actor, passphrase)
    return [_put(actor, order_id, day, place) for order_id in order_ids]


def move(
    actor: Actor, order_id: str, day: str, place: str | None, reason: str, passphrase: str
) -> None:  # fmt: skip
    """Move an eye to another day or place.

    Raises:
        NotFound: as ``put``.
        Refused: it is on no list, the day is over, or the passphrase is wrong.
    """
    accounts.confirm(actor, passphrase)
    with writing():
        line = _line(actor, order_id, WRITE)
        _write(actor, line, day, place, Correction(_listed_id(line), reason))


def take_off(actor: Actor, order_id: str, reason: str, passphrase: str) -> None:
    """Take an eye off its list. Raises: as ``move``."""
    accounts.confirm(actor, passphrase)
    with writing():
        line = _line(actor, order_id, WRITE)
        draft = Draft(
            "record.void", Subject(line.person, line.eye, line.site), "desk",
            {"target": _listed_id(line)}, Correction(None, reason),
        )  # fmt: skip
        desk_record.write(actor, draft)


def asked(one: Listed) -> dict[str, Any]:
    """Return what the core says for theatre about an eye of a list: stops, drawings, cautions."""
    line = orders.find(one.order_id)
    if line is None:
        raise NotFound("order")
    return theatre_question.ask(line)


def is_demo() -> bool:
    """Say whether the lenses in force are invented ones, so that no paper of theirs is for use."""
    catalogue = folding.in_force()["catalogue"]
    return bool(catalogue and catalogue["body"]["demo"])


def read_sheet(actor: Actor, code: str) -> Said:
    """Return whether a sheet of paper still says what the records say (H45)."""
    order_id = theatre_sheet.order_of(code)
    line = orders.find(order_id) if order_id else None
    if line is None or not actor.may(READ, line.site):
        return Said(False, "This is no code of a sheet, or not one of your sites’.", None)
    said = theatre_question.ask(line, code)["sheet"]
    return Said(bool(said["current"]), said["text"], line.order_id if line.live else None)


def _put(actor: Actor, order_id: str, day: str, place: str | None) -> Answer:
    line = _line(actor, order_id, WRITE)
    row = cases.find(joined.home_of(line.person))
    name = str(row.name) if row else ""
    try:
        with writing():
            _write(actor, _line(actor, order_id, WRITE), day, place, NO_CORRECTION)
    except Refused as refusal:
        return Answer(name, line.eye, refusal)
    return Answer(name, line.eye, None)


def _write(
    actor: Actor, line: OrderLine, day: str, place: str | None, correction: Correction
) -> None:  # fmt: skip
    body = {"order": line.order_id, "operate_on": day, "place": place}
    subject = Subject(line.person, line.eye, line.site)
    desk_record.write(actor, Draft("theatre.listed", subject, "desk", body, correction))


def _listed_id(line: OrderLine) -> str:
    """Return the record that puts an eye on its list, read inside the transaction."""
    entries = joined.entries_of(line.person)
    theatre = folding.fold_entries(entries, folding.in_force())["eyes"][line.eye]["theatre"]
    if theatre is None or theatre["order"] != line.order_id or theatre["listed"] is None:
        raise Refused("theatre.not_listed", "This eye is on no list any more. Look again.")
    return str(theatre["listed"]["id"])


def _line(actor: Actor, order_id: str, action: str) -> OrderLine:
    line = orders.find(order_id)
    if line is None or not actor.may(action, line.site):
        raise NotFound("order")
    return line


def _found(line: OrderLine) -> Listed:
    row = cases.find(joined.home_of(line.person))
    if row is None:
        raise NotFound("person")
    eye = _eye_or_none(
        TheatreLine(row.person, line.eye, line.site, row.name, row.village, row.camp_code, "", "")
    )
    if eye is None or eye.order_id != line.order_id:
        raise NotFound("order")
    return eye


def _up_to_date_sites(actor: Actor) -> frozenset[str]:
    sites = actor.sites_for(READ)
    kept_folds.refresh_for_a_list(sites)
    return sites


def _eye_or_none(line: TheatreLine) -> Listed | None:
    """Return an eye with its order; None where none stands."""
    has_order = kept_folds.current_fold(line.person)["eyes"][line.eye]["theatre"] is not None
    return _eye(line) if has_order else None


def _eye(line: TheatreLine) -> Listed:
    fold = kept_folds.current_fold(line.person)
    eye, person = fold["eyes"][line.eye], fold["person"] or {}
    theatre = eye["theatre"]
    released = [one for one in eye["box"]["checks"] if one["id"] == theatre["label"]]
    return Listed(
        line.person, line.eye, installation.site_titles().get(line.site, line.site), line.name,
        line.camp_code, person.get("birth_date"), person.get("birth_year"), theatre["order"],
        eye["order"]["number"], eye["order"]["lens"], released[0] if released else None,
        theatre, eye["state"], eye["backup"]["sentence"] if eye["backup"] else None,
    )  # fmt: skip
