"""People who may be registered twice, also at another camp, and what somebody said about it.

Two records of one person would split their readings and could lead to two orders (hazard H03), so
nothing is ordered for a person while a strong likeness to somebody is unanswered.
"""

import json
from typing import Any, NamedTuple

from webapp.flow import accounts, casefile, desk_record
from webapp.flow.actor import Actor
from webapp.flow.desk_record import Draft
from webapp.flow.likeness import HIGH, SHOWN, Known, digits, likeness, plain, soundex
from webapp.flow.refusal import NotFound
from webapp.records.draft import Subject
from webapp.store import installation, journal
from webapp.store.database import writing
from webapp.store.projections import cases

COMPARED = "person.compared"


class Double(NamedTuple):
    """Somebody who may be the same person."""

    other: str
    site: str
    site_title: str
    points: int
    reasons: list[str]
    body: dict[str, Any]
    """The other registration; a page shows it to those who may read that site."""
    answer: str
    """``same``, ``different``, or an empty text where nobody has said."""

    @property
    def stops(self) -> bool:
        """Say whether nothing may be ordered because of this."""
        return self.answer == "same" or (self.points >= HIGH and self.answer == "")


def of_person(person: str) -> list[Double]:
    """Return everybody who is like a person or was compared with them, the likest first."""
    mine = _known(cases.find(person))
    if mine is None:
        return []
    near = [row for row in cases.everybody() if row.person != person and _near(mine, row)]
    found = [_double(mine, other) for other in map(_known, near) if other is not None]
    alike = [one for one in found if one.points >= SHOWN or one.answer]
    return sorted(alike, key=lambda one: (-one.points, one.other))


def _double(mine: Known, other: Known) -> Double:
    points, reasons = likeness(mine, other)
    title = installation.site_titles().get(other.site, other.site)
    said = _answered(mine.person, other.person)
    return Double(other.person, other.site, title, points, reasons, other.body, said)


def answer(actor: Actor, person: str, other: str, said: str, passphrase: str) -> str:
    """Keep what somebody at the desk's pages says about a likeness, and return the record's id.

    Raises:
        NotFound: no such person at a site of theirs.
        Refused: the passphrase is wrong, or the answer cannot be kept.
    """
    row = cases.find(person)
    if row is None or not actor.may_read(row.site):
        raise NotFound("person")
    actor.require("person.compare", row.site)
    role = next(one for one in ("desk", "surgeon") if actor.holds(one, row.site))
    accounts.confirm(actor, passphrase)
    with writing():
        body = {"other": other, "answer": said}
        return desk_record.write(
            actor, Draft(COMPARED, Subject(person, None, row.site), role, body)
        )


def _near(mine: Known, row: cases.PersonRow) -> bool:
    """Say cheaply whether a likeness is possible: a name, its sound, or the phone is shared.

    Who was registered since the lists were made has no name there yet and is always looked at.
    """
    if not row.name:
        return True
    here, there = plain(mine.body["name"]), plain(row.name)
    sounds = [sorted(soundex(word) for word in name) for name in (here, there)]
    phone = digits(mine.body["phone"])
    return here == there or sounds[0] == sounds[1] or (phone != "" and phone in row.words)


def _known(row: cases.PersonRow | None) -> Known | None:
    """Return what is known of a person, from their fold as it stands."""
    if row is None:
        return None
    fold = casefile.current_fold(row.person)
    if fold["person"] is None:
        return None
    return Known(row.person, row.site, fold["person"], {
        eye: _cornea(fold["eyes"][eye]["readings"]) for eye in ("R", "L")
    })  # fmt: skip


def _cornea(readings: list[dict[str, Any]]) -> dict[str, int]:
    """Return mean curvature [0.01 D] and width [um] of an eye, each where it was measured."""
    bodies = {row["kind"]: [one["body"] for one in row["entries"]] for row in readings}
    found = {}
    powers = [
        (one["flat_cD"] + one["steep_cD"]) // 2
        for one in bodies.get("reading.keratometry", [])
        if one["unit"] == "D"
    ]
    widths = [one["diameter_um"] for one in bodies.get("reading.white_to_white", [])]
    if powers:
        found["k_cD"] = sum(powers) // len(powers)
    if widths:
        found["width_um"] = sum(widths) // len(widths)
    return found


def _answered(person: str, other: str) -> str:
    """Return what was said about two people, on either side; "same" outweighs "different"."""
    said = {_said(one, two) for one, two in ((person, other), (other, person))}
    return next((word for word in ("same", "different") if word in said), "")


def _said(person: str, other: str) -> str:
    entries = [one for one in journal.entries_of_person(person) if one.kind == COMPARED]
    gone = journal.superseded([one.id for one in entries])
    bodies = [json.loads(one.payload)["body"] for one in entries if one.id not in gone]
    said = {body["answer"] for body in bodies if body["other"] == other}
    return next((word for word in ("same", "different") if word in said), "")
