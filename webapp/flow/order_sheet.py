"""Everything one order's sheet prints, read from the signed records; nothing on it is retyped."""

import json
from typing import Any, NamedTuple

from webapp.flow import recheck
from webapp.flow.actor import Actor
from webapp.flow.refusal import NotFound
from webapp.store import accounts, installation, journal
from webapp.store.journal import Entry
from webapp.store.projections import orders


class OrderSheet(NamedTuple):
    """One order with everything its sheet prints."""

    order_id: str
    number: str
    person: str
    eye: str
    site: str
    site_title: str
    lens: dict[str, Any]
    """LENS exactly as approved."""
    approval_id: str
    approval: dict[str, Any]
    """Payload of the approval: its body holds shown, digest, acknowledged, overrides."""
    digest: str
    approved_by: str
    ordered_by: str
    ordered_at: str
    """Instant at which the server recorded the order."""
    approval_received_at: str
    person_body: dict[str, Any]
    """Body of the registration that the approval rests on."""
    evidence: tuple[dict[str, Any], ...]
    """Payload of each record the approval is bound to, with its ``id`` and ``author_name`` added,
    in the order of ``shown.evidence``."""
    supplier_reference: str | None
    cancelled_reason: str | None
    live: bool
    copies: int
    """Copies printed so far; the next print is copy ``copies + 1``, a reprint when above 1."""
    catalogue: dict[str, Any]
    """Body of the catalogue the approval names."""
    limits: dict[str, Any]
    """Body of the limits the approval names."""
    check_text: str
    """What computing the plan again here gave."""
    takes_out: dict[str, Any] | None
    """Body of the surgery whose lens an exchange takes out; None for a first lens."""
    other: "OtherOrder | None"
    """The order of the back-up lens beside this one, or of the chosen lens; None for one alone."""
    predicted: dict[str, Any] | None
    """What is promised of this very lens; None where it cannot be calculated any more."""


class OtherOrder(NamedTuple):
    """The other one of two orders of an eye."""

    is_backup: bool
    """Whether that one is the back-up, so that this one is the chosen lens."""
    order_id: str
    number: str
    lens: dict[str, Any]
    live: bool


def sheet(actor: Actor, order_id: str) -> OrderSheet:
    """Return everything the order sheet shows; NotFound when unknown or at another site."""
    line = orders.find(order_id)
    if line is None or not actor.may("order.read", line.site):
        raise NotFound("order")
    found = journal.entries_by_id([order_id, line.approval])
    order, approval = found[order_id], found[line.approval]
    order_body, approval_payload = _body(order), json.loads(approval.payload)
    shown = approval_payload["body"]["shown"]
    evidence = _evidence(shown["evidence"])
    names = accounts.names()
    bound = journal.entries_by_id([shown["catalogue"], shown["limits"]])
    check = recheck.checks_of(line.person).get(approval.id)
    return OrderSheet(
        order_id=order_id,
        number=order_body["number"],
        person=line.person,
        eye=line.eye,
        site=line.site,
        site_title=installation.site_titles().get(line.site, line.site),
        lens=order_body["lens"],
        approval_id=approval.id,
        approval=approval_payload,
        digest=order_body["digest"],
        approved_by=names.get(approval.author, approval.author),
        ordered_by=names.get(order.author, order.author),
        ordered_at=order.received_at,
        approval_received_at=approval.received_at,
        person_body=_registration(evidence, line.person),
        evidence=evidence,
        supplier_reference=line.supplier_reference,
        cancelled_reason=_cancelled_reason(order),
        live=bool(line.live),
        copies=line.copies,
        catalogue=_body(bound[shown["catalogue"]]),
        limits=_body(bound[shown["limits"]]),
        check_text=check.text if check else "",
        takes_out=_taken_out(approval_payload["body"]),
        other=_other(line),
        predicted=_predicted(approval_payload["body"], line),
    )


def _other(line: orders.OrderLine) -> OtherOrder | None:
    """Return the other order of a pair: the live back-up, else the newest one that there was."""
    ids = [one for one in orders.pair_of(str(line.order_id)) if one != line.order_id]
    lines = [found for one in ids if (found := orders.find(one)) is not None]
    if not lines:
        return None
    one = max(lines, key=lambda each: (each.live, each.number))
    body = _body(journal.entries_by_id([one.order_id])[one.order_id])
    return OtherOrder(
        bool(one.is_backup), str(one.order_id), body["number"], body["lens"], bool(one.live)
    )


def _predicted(approved: dict[str, Any], line: orders.OrderLine) -> dict[str, Any] | None:
    """Return what was promised of the chosen lens, or what that plan promises of the back-up."""
    if not line.is_backup:
        promised: dict[str, Any] = approved["shown"]["predicted"]
        return promised
    return recheck.predicted_of(approved["shown"], approved["backup"])


def _body(entry: Entry) -> dict[str, Any]:
    body: dict[str, Any] = json.loads(entry.payload)["body"]
    return body


def _taken_out(decided: dict[str, Any]) -> dict[str, Any] | None:
    """Return the surgery of the lens that an exchange takes out, as it was decided about."""
    named = decided.get("implant")
    return None if named is None else _body(journal.entries_by_id([named])[named])


def _evidence(ids: list[str]) -> tuple[dict[str, Any], ...]:
    found = journal.entries_by_id(ids)
    names = accounts.names()
    return tuple(
        {
            **json.loads(found[name].payload),
            "id": name,
            "author_name": names.get(found[name].author, found[name].author),
        }
        for name in ids
    )


def _registration(evidence: tuple[dict[str, Any], ...], person: str) -> dict[str, Any]:
    """Return the registration that an order is made under, of those the plan rests on."""
    for payload in evidence:
        if (payload["kind"], payload["person"]) == ("person.registered", person):
            body: dict[str, Any] = payload["body"]
            return body
    raise NotFound("registration among the records of this plan")


def _cancelled_reason(order: Entry) -> str | None:
    for entry in journal.entries_of_person(order.person or ""):
        if entry.kind == "order.cancelled":
            payload = json.loads(entry.payload)
            if payload["body"]["order"] == order.id:
                return str(payload["reason"])
    return None
