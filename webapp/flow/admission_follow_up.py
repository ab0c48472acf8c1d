"""The rules for what people do about an operated eye: who was told, what was answered, who called.

Each names the surgery, and the urgent ones the readings after it that they are about: of the same
person and eye, so that nothing said about one eye can quiet the alarm of another (H37).
"""

from typing import Any

from webapp.flow.ledger import Ledger
from webapp.flow.refusal import Refused
from webapp.store.journal import Fact

Payload = dict[str, Any]
KINDS = ("urgent.told", "urgent.answered", "recall.contact")


def check(payload: Payload, ledger: Ledger) -> None:
    """Refuse what names a surgery or readings that are not here, or are of another eye."""
    if payload["kind"] not in KINDS:
        return
    body = payload["body"]
    surgery = ledger.find(body["implant"], "surgery.implanted")
    if surgery is None:
        raise Refused("implant.unknown", "The surgery that it names is not here yet.", "implant")
    if _is_other(surgery, payload, ledger):
        raise Refused(
            "implant.other", "The surgery that it names is of another person or eye.", "implant"
        )
    for reading in body.get("readings", []):
        fact = ledger.find(reading)
        if fact is None or not fact.kind.startswith("followup."):
            raise Refused("reading.unknown", "A reading that it names is not here yet.", "readings")
        if _is_other(fact, payload, ledger):
            raise Refused(
                "reading.other", "A reading that it names is of another person or eye.", "readings"
            )


def _is_other(fact: Fact, payload: Payload, ledger: Ledger) -> bool:
    """Say whether a record is of another eye, or of somebody who is not the same person."""
    return fact.eye != payload["eye"] or not ledger.is_same_person(fact.person, payload["person"])
