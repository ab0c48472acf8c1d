"""Refractions other than those of this visit, each with the day on which it was made."""

from collections import namedtuple

from webapp.core.dates import days_from
from webapp.core.entry import Entry
from webapp.core.exam import Eye
from webapp.core.used import is_placed

# date: YYYY-MM-DD, when the refraction was made; not when it was copied.
Dated = namedtuple("Dated", ("entry", "date"))


def dated_refractions(eye: Eye) -> list[Dated]:
    """Return own refractions of earlier visits, and those copied from glasses or paper."""
    copied = eye.readings["reading.earlier_refraction"] + [
        one for one in eye.earlier if one.kind == "reading.earlier_refraction"
    ]
    own = [one for one in eye.earlier if one.kind == "reading.refraction"]
    found = [Dated(one, one.body["dated"]) for one in copied]
    found += [Dated(one, one.body["taken"][:10]) for one in own]
    return [one for one in found if is_placed(one.entry)]


def of_this_visit(eye: Eye, kind: str, visit_days: int) -> list[Entry]:
    """Return the placed readings of a kind that were taken with the present refraction.

    An old automatic or cycloplegic refraction says nothing about how well today's was measured.
    """
    manifest = eye.readings["reading.refraction"]
    return [
        one
        for one in eye.readings[kind]
        if is_placed(one)
        and any(
            abs(days_from(one.body["taken"], other.body["taken"])) <= visit_days
            for other in manifest
        )
    ]
