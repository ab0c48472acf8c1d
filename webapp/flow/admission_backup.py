"""The rules for a back-up lens: ordered beside the chosen one, released by a surgeon instead of it.

Whether a release counts at this moment is the fold's to say: it may reach the base after the chosen
order was cancelled, or its lens implanted, and must not be lost to that.
"""

from collections.abc import Callable
from typing import Any

from webapp.flow.ledger import Ledger
from webapp.flow.refusal import Refused
from webapp.store.journal import Fact

Payload = dict[str, Any]
CHECKS = ("label.checked", "theatre.checked")


def check(payload: Payload, ledger: Ledger) -> None:
    """Refuse an order or a release of a back-up lens that does not follow from what is stored."""
    rule = RULES.get(payload["kind"])
    if rule is not None:
        rule(payload, ledger)


def _placed(payload: Payload, ledger: Ledger) -> None:
    body = payload["body"]
    if body.get("backup_of") is None:
        return
    chosen = ledger.body_of(_named(payload, ledger, "backup_of", "order.placed").id)
    if chosen["approval"] != body["approval"] or chosen.get("backup_of") is not None:
        raise Refused("backup_of.other", "That order is not of the same approval.", "backup_of")
    approval = ledger.find(body["approval"], "plan.approval")
    if approval is None or ledger.body_of(approval.id).get("backup") != body["lens"]:
        raise Refused("order.not_backup", "The approval does not name this lens as its back-up.")
    person, eye = payload["person"], payload["eye"]
    if not ledger.stands(body["backup_of"], person, eye):
        raise Refused("order.backup_alone", "The order of the chosen lens does not stand.")
    if ledger.has_live_order(person, eye, is_backup=True):
        raise Refused("order.twice", "This eye has a live order of a back-up lens already.")


def _released(payload: Payload, ledger: Ledger) -> None:
    body = payload["body"]
    backup = ledger.body_of(_named(payload, ledger, "order", "order.placed").id)
    _named(payload, ledger, "instead_of", "order.placed")
    if backup.get("backup_of") != body["instead_of"]:
        raise Refused(
            "backup.other_order",
            "That order is not of the back-up of this chosen lens. Open the eye again.",
            "order",
        )
    checked = ledger.body_of(_named(payload, ledger, "check", *CHECKS).id)
    if checked["order"] != body["instead_of"]:
        raise Refused(
            "backup.other_check",
            "The check that it names is not of the chosen lens. Open the eye again.",
            "check",
        )


def _named(payload: Payload, ledger: Ledger, field: str, *kinds: str) -> Fact:
    """Return the record that a field names, which must be of the same person and eye (I16)."""
    fact, title = ledger.find(payload["body"][field], *kinds), NAMES[field]
    if fact is None:
        # What a phone waits for has one code, whichever order it is.
        what = "check" if field == "check" else "order"
        raise Refused(f"{what}.unknown", f"The {title} that it names is not here yet.", field)
    mine = ledger.is_same_person(fact.person, payload["person"])
    if not (mine and fact.eye == payload["eye"]):
        raise Refused(f"{field}.other", f"The {title} is of another person or eye.", field)
    return fact


NAMES = {
    "order": "order of the back-up lens",
    "backup_of": "order of the chosen lens",
    "instead_of": "order of the chosen lens",
    "check": "check of the chosen lens",
}
RULES: dict[str, Callable[[Payload, Ledger], None]] = {
    "order.placed": _placed,
    "backup.released": _released,
}
