"""The rules for plans: what a request, an approval, a question or a withdrawal must follow.

The signed record says what a person saw; these rules say whether that person may say it. Whether
the approval still holds is the fold's answer, asked again when the lens is ordered.
"""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

from webapp.flow import clock
from webapp.flow.ledger import Ledger
from webapp.flow.refusal import Refused
from webapp.store.journal import Fact

Payload = dict[str, Any]
DECISIONS = ("plan.approval", "plan.decline", "exchange.decided")
OF_AN_OUTCOME = ("surgery.", "followup.", "record.void")
TAKEN_BACK = ("plan.request", *DECISIONS, "decision.settled", "late.answered", "backup.released")
REFERENCE = (("catalogue", "catalogue.adopted"), ("limits", "limits.adopted"))


def check(payload: Payload, ledger: Ledger) -> None:
    """Refuse a plan or order record that does not follow from what is stored."""
    rule = RULES.get(payload["kind"])
    if rule is not None:
        rule(payload, ledger)


def _request(payload: Payload, ledger: Ledger) -> None:
    check_day(payload)
    evidence_of(payload, ledger)


def _approval(payload: Payload, ledger: Ledger) -> None:
    request = _named(payload, ledger, "request", "plan.request")
    if request.author == payload["author"]:
        raise Refused(
            "approval.own_request",
            "Whoever asks for a plan cannot approve it. Another surgeon must decide.",
        )
    check_day(payload)
    evidence = evidence_of(payload, ledger)
    readings = [fact for fact in evidence if fact.kind.startswith("reading.")]
    if any(fact.author == payload["author"] for fact in readings):
        raise Refused(
            "approval.own_reading",
            "Whoever measured an eye cannot approve its lens. Another surgeon must decide.",
        )


def check_day(payload: Payload) -> None:
    """Refuse a plan of a day to come: age and waiting times were then counted too far.

    A place on earth may be a day ahead of UTC. A plan of the past is judged by today's findings.
    """
    tomorrow = (clock.utc_now() + timedelta(days=1)).strftime("%Y-%m-%d")
    as_of = payload["body"]["shown"]["as_of"]
    if as_of > tomorrow:
        raise Refused(
            "plan.future",
            f"The plan was computed for {as_of}, a day to come: the device's clock is wrong. Set "
            "it, open the eye again and repeat.",
        )


def evidence_of(payload: Payload, ledger: Ledger) -> list[Fact]:
    """Return the records a plan rests on, all of this person and this eye or of no eye."""
    shown = payload["body"]["shown"]
    for field, kind in REFERENCE:
        if ledger.find(shown[field], kind) is None:
            raise Refused("reference.unknown", f"The plan names a {field} that is not here.")
    # Absent from plans that were made before models could be adopted.
    vault_model = shown.get("vault_model")
    if vault_model is not None and ledger.find(vault_model, "vault_model.adopted") is None:
        raise Refused("reference.unknown", "The plan names a vault model that is not here.")
    _fellow(payload, ledger)
    found = []
    for record_id in shown["evidence"]:
        fact = ledger.find(record_id)
        if fact is None:
            raise Refused("evidence.unknown", "A record that this plan rests on is not here yet.")
        if is_foreign(fact, payload, ledger) or fact.eye not in (None, payload["eye"]):
            raise Refused("evidence.other", "The plan rests on a record of another person or eye.")
        found.append(fact)
    return found


def _fellow(payload: Payload, ledger: Ledger) -> None:
    """Refuse an outcome that is not of this person's other eye, or not here.

    Whoever operated on the fellow eye or saw it afterwards may approve all the same: the rule of
    two people is about the eye that the lens is for.
    """
    # Absent from plans that were made before outcomes were recorded.
    fellow = payload["body"]["shown"].get("fellow")
    for record_id in fellow["records"] if fellow else []:
        fact = ledger.find(record_id)
        if fact is None:
            raise Refused("evidence.unknown", "An outcome that this plan rests on is not here yet.")
        if is_foreign(fact, payload, ledger) or fact.eye in (None, payload["eye"]):
            raise Refused("evidence.other", "The outcome is not of this person's other eye.")


def _question(payload: Payload, ledger: Ledger) -> None:
    _named(payload, ledger, "request", "plan.request")


def _answer(payload: Payload, ledger: Ledger) -> None:
    _named(payload, ledger, "question", "plan.question")


def _withdrawal(payload: Payload, ledger: Ledger) -> None:
    target = _named(payload, ledger, "target", *TAKEN_BACK)
    if target.person != payload["person"]:
        # Filed with what it takes back, so that a separation does not bring that to life again.
        raise Refused("target.other", "The target is filed under the person's other registration.")
    if target.author != payload["author"]:
        raise Refused("target.not_own", "Only the person who made it may withdraw it.")


def _settled(payload: Payload, ledger: Ledger) -> None:
    """Whoever settles a contradiction gave none of the decisions that contradict each other."""
    for record_id in payload["body"]["decisions"]:
        decision = _same_case(payload, ledger, "decision", record_id, *DECISIONS)
        if decision.author == payload["author"]:
            raise Refused(
                "settle.own_decision",
                "Whoever gave one of the decisions cannot settle between them. A third surgeon "
                "must, or you take your own back.",
            )


def _late_answer(payload: Payload, ledger: Ledger) -> None:
    """A late record is answered by name; nobody keeps an order against a record of their own."""
    _named(payload, ledger, "order", "order.placed")
    for record_id in payload["body"]["seen"]:
        fact = ledger.find(record_id)
        if fact is None:
            raise Refused("seen.unknown", "A record that this answer has seen is not here yet.")
        # A first eye that came out otherwise calls the second one's order in question.
        is_mine = fact.eye in (None, payload["eye"]) or fact.kind.startswith(OF_AN_OUTCOME)
        # Nor does it belong to anybody that a key was revoked, or a calculation recalled.
        is_everybodys = fact.kind in ("key.revoked", "core.recalled")
        if not is_everybodys and (is_foreign(fact, payload, ledger) or not is_mine):
            raise Refused("seen.other", "This answer is about a record of another person or eye.")
        if fact.author == payload["author"] and payload["body"]["answer"] == "keep":
            raise Refused(
                "late.own_record",
                "Whoever made a late record cannot keep the order against it. Another surgeon "
                "must answer.",
            )


def _placed(payload: Payload, ledger: Ledger) -> None:
    approval = _named(payload, ledger, "approval", "plan.approval", "exchange.decided")
    if payload["body"].get("backup_of") is not None:
        return  # The rules of a back-up lens stand in a place of their own.
    if approval.kind == "exchange.decided":
        _exchange(approval, ledger)
    if ledger.has_live_order(payload["person"], payload["eye"]):
        raise Refused("order.twice", "This eye has a live order already.")


def _exchange(approval: Fact, ledger: Ledger) -> None:
    """Refuse an order from a decision about a lens that is not to exchange it."""
    if ledger.body_of(approval.id)["decision"] != "exchange":
        raise Refused("order.not_exchange", "That decision was not to exchange the lens.")


def _after_order(payload: Payload, ledger: Ledger) -> None:
    _named(payload, ledger, "order", "order.placed")


def _named(payload: Payload, ledger: Ledger, field: str, *kinds: str) -> Fact:
    """Return the record that a field names, of the same person and eye."""
    return _same_case(payload, ledger, field, payload["body"][field], *kinds)


def _same_case(payload: Payload, ledger: Ledger, what: str, record_id: str, *kinds: str) -> Fact:
    """Return a record of one of these kinds, of the same person and eye."""
    fact = ledger.find(record_id, *kinds)
    if fact is None:
        raise Refused(f"{what}.unknown", f"The {what} that this record names is not here yet.")
    if is_foreign(fact, payload, ledger) or fact.eye != payload["eye"]:
        raise Refused(f"{what}.other", f"The {what} is of another person or eye.")
    return fact


def is_foreign(fact: Fact, payload: Payload, ledger: Ledger) -> bool:
    """Say whether a record is of another person, whichever of their registrations it is under."""
    return not ledger.is_same_person(fact.person, payload["person"])


RULES: dict[str, Callable[[Payload, Ledger], None]] = {
    "plan.request": _request,
    "plan.approval": _approval,
    "plan.question": _question,
    "plan.answer": _answer,
    "plan.decline": _question,
    "plan.withdrawal": _withdrawal,
    "decision.settled": _settled,
    "late.answered": _late_answer,
    "order.placed": _placed,
    "order.referenced": _after_order,
    "order.cancelled": _after_order,
    "order.confirmed": _after_order,
    "order.shipped": _after_order,
    "order.received": _after_order,
    "order.printed": _after_order,
}
