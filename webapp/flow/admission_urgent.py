"""The rule that an urgent reading is not taken away from around it (H37).

It is known by the surgery that it was read after. Whoever withdraws that surgery, moves it past
the reading, or separates the two registrations that hold one each, would end the alarm though
nobody at the base has answered it; its own author's correction may.
"""

from typing import Any

from webapp.flow.ledger import Ledger
from webapp.flow.refusal import Refused
from webapp.flow.said import REMOVAL, SURGERY, taken_out_by
from webapp.records.envelope import Record

Payload = dict[str, Any]


def check(record: Record, ledger: Ledger) -> None:
    """Refuse what would end an alarm that waits for its answer."""
    payload = record.payload
    if payload["kind"] == "person.split":
        # Each half goes on alone, and its other one is not there to be judged with it.
        lost = _urgent(payload, ledger)
    elif _changes_surgery(payload, ledger):
        lost = _urgent(payload, ledger) - _urgent(payload, ledger, record)
    else:
        return
    if lost:
        raise Refused(
            "urgent.open",
            "A reading that cannot wait would drop out of sight, and nobody at the base has "
            "answered it yet. A surgeon or the desk answers it first; then do this again.",
        )


def _changes_surgery(payload: Payload, ledger: Ledger) -> bool:
    if payload["kind"] == "record.void":
        return ledger.find(payload["body"]["target"], SURGERY) is not None
    # A lens taken out has no readings after that day: none that waits may be among them.
    return payload["kind"] in (SURGERY, REMOVAL) and (
        payload["replaces"] is not None or taken_out_by(payload) is not None
    )


def _urgent(payload: Payload, ledger: Ledger, *more: Record) -> set[str]:
    """Return the readings (ids) of a person that wait for an answer, once more records count."""
    eyes = ledger.fold_of(payload["person"], *more)["eyes"]
    return {one["reading"] for eye in eyes.values() for one in eye["urgent"] if one["open"]}
