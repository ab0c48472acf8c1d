"""What people at the base do: each returns an empty text or an id, or the code of the refusal."""

from tests.simulation import base
from webapp.demo_people import PASSPHRASE
from webapp.flow import chain_gaps, duplicates, joining, kept_apart, order
from webapp.flow.refusal import Refused


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


def cancel_order(order_id: str) -> str:
    """Cancel an order at the desk; return an empty text or the code of the refusal."""
    try:
        order.cancel(base.actor("fenn"), order_id, "The person moved away", PASSPHRASE)
    except Refused as refusal:
        return refusal.code
    return ""


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
