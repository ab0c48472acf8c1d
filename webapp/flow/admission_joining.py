"""The rules for joining two registrations and for separating them (I17).

Two people say that it is one person: whoever compared them, and whoever joins them. Two orders or
two lenses of one eye are never joined into one.
"""

from typing import Any

from webapp.flow.ledger import Ledger
from webapp.flow.refusal import Refused
from webapp.store.projections import orders

Payload = dict[str, Any]
EYES = {"R": "right", "L": "left"}


def check(payload: Payload, ledger: Ledger) -> None:
    """Refuse a joining or a separation that does not follow from what is stored."""
    if payload["kind"] == "person.merged":
        _joined(payload, ledger)
    elif payload["kind"] == "person.split":
        _separated(payload, ledger)


def _joined(payload: Payload, ledger: Ledger) -> None:
    person, other = payload["person"], payload["body"]["other"]
    if other not in ledger.person_sites:
        raise Refused("joined.unknown", "The other registration is not here yet.")
    if any((one.person, one.other) == (person, other) for one in ledger.joins_of(person)):
        raise Refused("joined.already", "These two registrations are joined already.")
    _judged(payload, ledger)
    both = set(ledger.registrations(person)) | set(ledger.registrations(other))
    for eye, word in EYES.items():
        _one_order(ledger.standing_orders(sorted(both), eye), word)
        _one_lens(both, eye, word, ledger)


def _judged(payload: Payload, ledger: Ledger) -> None:
    """Refuse a joining that rests on no standing judgement of somebody else."""
    compared = ledger.find(payload["body"]["compared"], "person.compared")
    said = ledger.body_of(compared.id) if compared else {}
    pair = {payload["person"], payload["body"]["other"]}
    if (
        compared is None
        or said["answer"] != "same"
        or {compared.person, said["other"]} != pair
        or compared.id in ledger.superseded
    ):
        raise Refused(
            "joined.not_compared",
            "Nobody has compared these two and said that they are one person. Compare them first.",
        )
    if compared.author == payload["author"]:
        raise Refused(
            "joined.own_judgement",
            "You said yourself that they are one person. Somebody else must join them.",
        )


def _one_order(live: list[str], word: str) -> None:
    if len(live) > 1:
        numbers = " and ".join(str(one) for one in sorted(orders.numbers_of(live).values()))
        raise Refused(
            "joined.two_orders",
            f"Both registrations have an order for the {word} eye that stands (numbers {numbers})."
            " Cancel one at the supplier and here, then join them.",
        )


def _one_lens(people: set[str], eye: str, word: str, ledger: Ledger) -> None:
    standing = [
        one
        for one in ledger.surgeries.values()
        if one.live and one.out_by is None and one.eye == eye and one.person in people
    ]
    if len(standing) > 1:
        raise Refused(
            "joined.two_lenses",
            f"Both registrations have a lens in the {word} eye. One record is wrong: have its"
            " author withdraw it, then join them.",
        )


def _separated(payload: Payload, ledger: Ledger) -> None:
    # Absent from separations of before they took two people.
    if payload["body"].get("proposed_by") == payload["author"]:
        raise Refused(
            "joined.alone",
            "A separation takes two people: somebody else confirms what you proposed.",
        )
    joining = ledger.find(payload["body"]["target"], "person.merged")
    if joining is None:
        raise Refused("target.unknown", "The joining that is to be undone is not here yet.")
    if joining.person != payload["person"]:
        raise Refused("target.other", "The joining that is to be undone is of another person.")
    if joining.id in ledger.superseded:
        raise Refused("target.not_live", "These registrations were separated already.")
