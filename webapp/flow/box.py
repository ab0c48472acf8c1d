"""The box that came for an order: compared as two people read it, and the check recorded.

A check that agrees is recorded as well as one that differs; there is no way to record that a
difference was let pass.
"""

import json
from typing import Any, NamedTuple

from webapp.core.box.elements import SEPARATOR, SEPARATOR_PICTURE
from webapp.flow import accounts, box_comparison, box_conditions, clock, desk_record, joined
from webapp.flow.actor import Actor
from webapp.flow.box_comparison import Answer, BadInput
from webapp.flow.desk_record import Draft
from webapp.flow.refusal import NotFound, Refused
from webapp.records.draft import Subject
from webapp.store import journal
from webapp.store.accounts import names as names_of
from webapp.store.database import writing
from webapp.store.projections import orders

Label = dict[str, Any]

__all__ = [
    "BadInput",
    "Checked",
    "Read",
    "Second",
    "check",
    "compare",
    "find",
    "require_open",
    "require_verified",
]


class Read(NamedTuple):
    """What the person signed in read off a box."""

    code: str | None
    """As scanned or typed, control characters of its ends included."""
    label: Label
    device_day: str | None
    code_by: str | None = None
    """``reader`` or ``keys``, as the page saw it come; None without a code, or where only its text
    can say it."""


class Second(NamedTuple):
    """Who read the label again, their passphrase, and what they read."""

    sign_in_name: str
    passphrase: str
    label: Label


class Checked(NamedTuple):
    """One recorded check, with what it comes to."""

    check_id: str
    order_id: str
    person: str
    eye: str
    first_name: str
    second_name: str | None
    wall: str
    answer: Answer
    other_eye: bool
    """Whether the values read are those of a lens ordered for the fellow eye."""


def require_open(actor: Actor, order_id: str) -> None:
    """Refuse a box of an order that ended, or that a surgeon must answer about first."""
    box_conditions.require_open(_line(actor, order_id))


def compare(actor: Actor, order_id: str, read: Read) -> Answer:
    """Return how a box compares by one person's reading; nothing is recorded.

    Raises:
        BadInput: the code, or a value, cannot be used.
        Refused: the order was cancelled, or something must be answered first.
    """
    line = _line(actor, order_id)
    box_conditions.require_open(line)
    return box_comparison.compare(_ordered(order_id), _asked(read, None), _days(read.device_day))


def check(actor: Actor, order_id: str, read: Read, second: Second | None) -> str:
    """Record a check and return its id; what agrees needs a second person.

    Raises:
        BadInput: the code, or a value, cannot be used.
        Refused: nothing was recorded; ``sign_in.wrong`` and ``label.second`` are about the second
            person, ``label.serial`` about a lens taken for another order.
    """
    # Nobody's passphrase is tried for whoever may not check this box.
    _line(actor, order_id)
    witness = _witness(actor, second)
    with writing():
        # Read in here: while somebody typed a passphrase, a colleague may have cancelled the order.
        line = _line(actor, order_id)
        box_conditions.require_open(line)
        label = second.label if second else None
        answer = box_comparison.compare(
            _ordered(order_id), _asked(read, label), _days(read.device_day)
        )
        if answer["outcome"] == "cannot_tell":
            raise Refused("label.unread", "Something on the label was not read yet.")
        body = {
            "order": order_id,
            **_asked(read, label),
            "gtin": answer["code"]["gtin"] if answer["code"] else None,
            "second_person": witness,
            "device_day": read.device_day,
            "seen": sorted(box_conditions.differed(line)),
            "outcome": answer["outcome"],
        }
        subject = Subject(line.person, line.eye, line.site)
        return desk_record.write(actor, Draft("label.checked", subject, "desk", body))


def find(actor: Actor, check_id: str) -> Checked:
    """Return a recorded check. Raises: NotFound."""
    entry = journal.entries_by_id([check_id]).get(check_id)
    if entry is None or entry.kind != "label.checked" or not actor.may("order.read", entry.site):
        raise NotFound("check")
    payload = json.loads(entry.payload)
    body, names = payload["body"], names_of()
    second = body["second_person"]
    return Checked(
        check_id, body["order"], payload["person"], payload["eye"],
        names.get(entry.author, entry.author),
        names.get(second, second) if second else None,
        payload["wall"],
        box_comparison.of_record(_ordered(body["order"]), payload),
        _is_of_other_eye(payload),
    )  # fmt: skip


def require_verified(actor: Actor, check_id: str) -> Checked:
    """Return the check by which the lens of an eye may go to theatre now.

    Raises:
        NotFound: there is no such check.
        Refused: it is not the one, or something came up after it.
    """
    found = find(actor, check_id)
    line = orders.find(found.order_id)
    checked = box_conditions.eye_of(line)["box"] if line is not None and line.live else None
    if checked is None or checked["verified"] != check_id:
        raise Refused(
            "box.not_verified",
            "This box is not released by this check: it differed, another check came after it, or "
            "the order ended. Look at the order.",
        )
    return found


def _ordered(order_id: str) -> box_comparison.Ordered:
    return box_comparison.ordered(order_id, lambda one: journal.entries_by_id([one])[one].payload)


def _asked(read: Read, second: Label | None) -> dict[str, Any]:
    """Return what the core compares, as a record holds it: its separators can be seen."""
    code = read.code.strip(" \t\r\n") if read.code else None
    return {
        "code": code.replace(SEPARATOR, SEPARATOR_PICTURE) if code else None,
        "code_by": read.code_by if code else None,
        "first": read.label,
        "second": second,
    }


def _days(device_day: str | None) -> list[str]:
    return [clock.today(), *([device_day] if device_day else [])]


def _witness(actor: Actor, second: Second | None) -> str | None:
    """Return the id of the second person, who must be another one and say who they are."""
    if second is None:
        return None
    witness = accounts.witness(second.sign_in_name, second.passphrase, actor.address)
    if witness.user_id == actor.user_id:
        raise Refused(
            "label.second",
            "You have read this label already. Somebody else must read it again.",
            "name",
        )
    return witness.user_id


def _is_of_other_eye(payload: dict[str, Any]) -> bool:
    """Say whether what was read is a lens ordered for the fellow eye: chosen, or its back-up."""
    if payload["body"]["outcome"] == "agrees":
        return False
    fellow = "L" if payload["eye"] == "R" else "R"
    lines = orders.of_people(joined.registrations(payload["person"]), fellow)
    return any(_is_lens_of(line, payload) for line in lines if line.live)


def _is_lens_of(line: orders.OrderLine, payload: dict[str, Any]) -> bool:
    """Say whether nothing that was read differs from what an order says."""
    answer = box_comparison.of_record(_ordered(line.order_id), payload)
    ordered = [row for row in answer["rows"] if row["ordered"] is not None]
    return all(row["outcome"] != "differs" for row in ordered)


def _line(actor: Actor, order_id: str) -> orders.OrderLine:
    line = orders.find(order_id)
    if line is None or not actor.may("order.read", line.site):
        raise NotFound("order")
    actor.require("box.check", line.site)
    return line
