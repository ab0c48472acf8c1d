"""People who may be registered twice, also at another camp, and what somebody said about it.

Two records of one person would split their readings and could lead to two orders (hazard H03), so
nothing is ordered for a person while a strong likeness to somebody is unanswered.
"""

import json
from typing import Any, NamedTuple

from webapp.flow import accounts, casefile, desk_record, joined, kept_folds
from webapp.flow.actor import Actor
from webapp.flow.desk_record import Draft
from webapp.flow.likeness import HIGH, SHOWN, Known, keys_of, likeness
from webapp.flow.refusal import NotFound
from webapp.records.draft import Subject
from webapp.store import installation, journal
from webapp.store.database import writing
from webapp.store.journal import Entry
from webapp.store.projections import cases

COMPARED, MERGED = "person.compared", "person.merged"


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
    """Return everybody who is like a person or was compared with them, the likest first.

    Registrations that were joined are one person: each is looked at, and none is like another.
    """
    here = set(joined.registrations(person))
    # Almost nobody shares a name, its sound or a phone: then no fold has to be read.
    if all((near := cases.alike_as_kept(one)) is not None and here >= set(near) for one in here):
        return []
    mine = [known for half in here if (known := _known(half)) is not None]
    found: dict[str, Double] = {}
    for half in mine:
        # Whoever was registered since the lists were made has no keys yet and is always looked at.
        for one in set(cases.alike(**keys_of(half.body))) - here:
            double = _double(half, one)
            other = joined.home_of(one) if double else ""
            if double and (other not in found or _weight(double) > _weight(found[other])):
                found[other] = double
    return sorted(found.values(), key=lambda one: (-one.points, one.other))


def _weight(double: Double) -> tuple[bool, int]:
    """Return by what one likeness to somebody speaks louder than another one."""
    return double.stops, double.points


def _double(mine: Known, person: str) -> Double | None:
    """Return how somebody is like a person; None where they are not, and nobody compared them."""
    other = _known(person)
    if other is None:
        return None
    points, reasons = likeness(mine, other)
    said = _answered(mine.person, other.person)
    if points < SHOWN and not said:
        return None
    title = installation.site_titles().get(other.site, other.site)
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


def _known(person: str) -> Known | None:
    """Return what is known under one registration, with the eyes' readings of the whole person."""
    row = cases.find(person)
    fold = kept_folds.current_fold(person)
    body = fold["person"]
    if row is None or body is None:
        return None
    if body["id"] != person:
        body = casefile.half_of(person).body
    return Known(person, row.site, body, {
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
    said = {json.loads(one.payload)["body"]["answer"] for one in comparisons(person, other)}
    return next((word for word in ("same", "different") if word in said), "")


def comparisons(person: str, other: str) -> list[Entry]:
    """Return the standing comparisons of two registrations, on either side.

    A judgement on which two were joined counts no more once they were separated: it is asked again.
    """
    pair = ((person, other), (other, person))
    found = [entry for one, two in pair for entry in _naming(one, two)]
    gone = journal.superseded([entry.id for entry in found])
    undone = {
        json.loads(entry.payload)["body"]["compared"]
        for entry in found
        if entry.kind == MERGED and entry.id in gone
    }
    return [e for e in found if e.kind == COMPARED and e.id not in gone and e.id not in undone]


def _naming(person: str, other: str) -> list[Entry]:
    """Return the comparisons and joinings of a registration with another one."""
    entries = journal.entries_of_person(person)
    kinds = [entry for entry in entries if entry.kind in (COMPARED, MERGED)]
    return [entry for entry in kinds if json.loads(entry.payload)["body"]["other"] == other]
