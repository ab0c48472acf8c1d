"""The rules for what is asked and decided about the lens in an eye: whose lens, readings, hands.

It binds readings of that eye after that implant, and of no other lens (I22); nobody decides on what
they measured (I3). Whether it still holds is the fold's answer, asked again when the lens is
ordered.
"""

from typing import Any

from webapp.flow.admission_plan import check_day, evidence_of, is_foreign
from webapp.flow.ledger import Ledger
from webapp.flow.refusal import Refused
from webapp.flow.said import SURGERY
from webapp.store.journal import Fact

Payload = dict[str, Any]
KIND, ASKED = "exchange.decided", "exchange.asked"
OPERATIONS = (SURGERY, "surgery.explanted")


def check(payload: Payload, ledger: Ledger) -> None:
    """Refuse a request or a decision about a lens that does not follow from what is stored."""
    if payload["kind"] not in (KIND, ASKED):
        return
    _lens(payload, ledger)
    if payload["kind"] == KIND:
        _decision(payload, ledger)


def _decision(payload: Payload, ledger: Ledger) -> None:
    check_day(payload)
    # Absent where nobody had asked.
    for name in payload["body"].get("answers") or ():
        _asked(name, payload, ledger)
    bound = [fact for fact in evidence_of(payload, ledger) if fact.kind.startswith("reading.")]
    bound += [_followup(name, payload, ledger) for name in payload["body"]["shown"]["followups"]]
    for name in payload["body"]["shown"]["surgeries"]:
        _of_this_eye(name, payload, ledger, *OPERATIONS)
    if any(fact.author == payload["author"] for fact in bound):
        raise Refused(
            "approval.own_reading",
            "Whoever measured an eye cannot decide about its lens. Another surgeon must decide.",
        )


def _lens(payload: Payload, ledger: Ledger) -> None:
    named = payload["body"]["implant"]
    if ledger.find(named, SURGERY) is None:
        raise Refused(
            "implant.unknown",
            "The surgery of the lens that it is about is not here yet.",
            "implant",
        )
    _of_this_eye(named, payload, ledger, SURGERY)
    lens = ledger.standing_surgery(named)
    if lens is None:
        raise Refused(
            "implant.withdrawn", "The surgery of that lens was withdrawn. Open the eye again.",
            "implant",
        )  # fmt: skip
    if lens.out_by is not None:
        raise Refused(
            "implant.out", f"That lens was taken out on {lens.out_on}. Open the eye again.",
            "implant",
        )  # fmt: skip


def _asked(name: str, payload: Payload, ledger: Ledger) -> None:
    """Refuse an answer to what was asked about another lens, or to what nobody asked."""
    if ledger.find(name, ASKED) is None:
        raise Refused("asked.unknown", "What this decision answers is not here yet.", "answers")
    _of_this_eye(name, payload, ledger, ASKED)
    about = ledger.body_of(name)["implant"]
    mine = ledger.standing_surgery(payload["body"]["implant"])
    if ledger.standing_surgery(about) != mine:
        raise Refused("asked.other_lens", "The decision answers what was asked about another lens.")


def _followup(name: str, payload: Payload, ledger: Ledger) -> Fact:
    """Return a reading that it binds, of this eye with this lens in it."""
    fact = _of_this_eye(name, payload, ledger)
    if not fact.kind.startswith("followup."):
        raise Refused("evidence.other", "The decision binds what is no reading after surgery.")
    read_after = ledger.body_of(name)["implant"]
    mine = ledger.standing_surgery(payload["body"]["implant"])
    if ledger.standing_surgery(read_after) != mine:
        raise Refused("evidence.other_lens", "The decision binds a reading of another lens.")
    return fact


def _of_this_eye(name: str, payload: Payload, ledger: Ledger, *kinds: str) -> Fact:
    """Return a record that it names, of this person and eye."""
    fact = ledger.find(name, *kinds)
    if fact is None:
        raise Refused("evidence.unknown", "A record that this decision rests on is not here yet.")
    if is_foreign(fact, payload, ledger) or fact.eye != payload["eye"]:
        raise Refused("evidence.other", "The decision rests on a record of another person or eye.")
    return fact
