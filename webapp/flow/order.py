"""Ordering the approved lens: from a live approval only, once, in one transaction."""

from typing import Any, NamedTuple

from webapp.flow.actor import Actor


class Condition(NamedTuple):
    """One of the five things that must be true before an order."""

    ok: bool
    text: str


class OrderSheet(NamedTuple):
    """One order with everything its sheet prints; nothing on the sheet is retyped."""

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
    """Body of the person's live registration."""
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
    """What recomputing the plan here gave."""


def conditions(actor: Actor, person: str, eye: str) -> list[Condition]:
    """Return the five conditions for ordering this eye now, each with its sentence."""
    raise NotImplementedError


def place(actor: Actor, person: str, eye: str, approval_id: str, passphrase: str) -> str:
    """Order the lens of this approval and return the order's record id.

    Asking again for the same approval returns the same order. The passphrase is asked afresh.

    Raises:
        NotFound: no such case at a site of this desk person.
        Refused: a condition does not hold; ``passphrase.wrong`` has field ``passphrase``.
    """
    raise NotImplementedError


def add_reference(actor: Actor, order_id: str, supplier_reference: str) -> None:
    """Record the reference the supplier gave for this order."""
    raise NotImplementedError


def cancel(actor: Actor, order_id: str, reason: str, passphrase: str) -> None:
    """Cancel a live order with a reason; the eye may then be planned and ordered again."""
    raise NotImplementedError


def sheet(actor: Actor, order_id: str) -> OrderSheet:
    """Return everything the order sheet shows; NotFound when unknown or at another site."""
    raise NotImplementedError


def record_print(actor: Actor, order_id: str) -> int:
    """Record that one more copy is printed and return its number, 1 for the first."""
    raise NotImplementedError


def order_of_case(actor: Actor, person: str, eye: str) -> str | None:
    """Return the id of the live order of this eye, else of its newest order, else None."""
    raise NotImplementedError
