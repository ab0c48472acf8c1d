"""What people at the base do: each returns an empty text or an id, or the code of the refusal."""

from tests.ordered import lens_of
from tests.simulation import base
from webapp.demo_people import PASSPHRASE
from webapp.flow import (
    box,
    chain_gaps,
    clock,
    duplicates,
    joining,
    kept_apart,
    order,
    order_progress,
    urgent,
)
from webapp.flow.box import Read, Second
from webapp.flow.refusal import Refused
from webapp.flow.urgent import Answer


def place_order(person: str, eye: str, approval: str) -> str:
    """Order at the desk; return the order's id or the code of the refusal."""
    try:
        return order.place(base.actor("fenn"), person, eye, approval, PASSPHRASE)
    except Refused as refusal:
        return refusal.code


def declare_gaps() -> int:
    """Let the administrator declare lost what waiting records wait for; return how many chains."""
    found = chain_gaps.open_gaps(base.actor("rook"))
    for gap in found:
        chain_gaps.declare(base.actor("rook"), gap.kid, "The phone was lost", PASSPHRASE)
    return len(found)


def decide_apart(record_id: str, decision: str) -> str:
    """Let a surgeon decide about a record kept apart; return an empty text or why not."""
    try:
        kept_apart.decide(base.actor("marsh"), record_id, decision, "Asked the person", PASSPHRASE)
    except Refused as refusal:
        return refusal.code
    return ""


def cancel_order(order_id: str, reply: str | None = None) -> str:
    """Cancel an order at the desk; return an empty text or the code of the refusal."""
    why = "The person moved away"
    return base.code_of(lambda: order.cancel(base.actor("fenn"), order_id, why, PASSPHRASE, reply))


def arrive(order_id: str) -> str:
    """Note that the lens of an order is here; return an empty text or why not."""
    return base.code_of(lambda: order_progress.arrive(base.actor("fenn"), order_id, clock.today()))


def hold_box(order_id: str, serial: str, right: bool) -> str:
    """Hold a box against an order, the right one or a longer lens; return why it was not kept."""
    lens = lens_of(order_id)
    longer_um = lens["length_um"] + (0 if right else 500)
    label = {**lens, "length_um": longer_um, "lot": "LOT7", "serial": serial,
             "expiry_date": "2031-02-28"}  # fmt: skip
    second = Second("verrill", PASSPHRASE, label) if right else None
    read = Read(None, label, None)
    return base.code_of(lambda: box.check(base.actor("fenn"), order_id, read, second))


def answer_urgent(person: str, eye: str, readings: list[str]) -> str:
    """Answer what cannot wait; return an empty text or why not."""
    said = Answer("Looked at at once by Dr S. Verrill.", None)
    return base.code_of(
        lambda: urgent.answer(base.actor("marsh"), person, eye, readings, said, PASSPHRASE)
    )


def judge(name: str, person: str, other: str) -> str:
    """Let somebody at the desk say that two are one person; return the record's id or why not."""
    try:
        return duplicates.answer(base.actor(name), person, other, "same", PASSPHRASE)
    except Refused as refusal:
        return refusal.code


def join(name: str, person: str, other: str) -> str:
    """Let somebody at the desk join two registrations; return an empty text or why not."""
    return base.code_of(
        lambda: joining.join(base.actor(name), person, other, "The same card", PASSPHRASE)
    )


def separate(record: str, proposes: str, confirms: str) -> str:
    """Let one person propose and another confirm a separation; return an empty text or why not."""

    def both() -> None:
        if joining.separation(base.actor(proposes), record) is None:
            joining.propose_separation(base.actor(proposes), record, "Two cousins", PASSPHRASE)
        joining.confirm_separation(base.actor(confirms), record, PASSPHRASE)

    return base.code_of(both)
