"""What one payload says of other records: which it names, replaces, and does to lenses."""

from collections.abc import Iterable
from typing import Any

from webapp.records.envelope import Record
from webapp.store.projections.implants import Surgery, serial_key
from webapp.store.projections.label_checks import LabelCheck

NAMING = (
    *("target", "request", "question", "approval", "order", "implant", "compared"),
    *("label", "check", "theatre_check", "explants", "aside", "backup_of", "instead_of"),
)
"""Fields of a body that hold the id of another record."""

ADOPTABLE = ("reading.", "person.registered")

SURGERY, REMOVAL = "surgery.implanted", "surgery.explanted"
MERGED = "person.merged"


def taken_out_by(payload: dict[str, Any]) -> str | None:
    """Return the surgery whose lens a record says it took out of an eye, if it does."""
    if payload["kind"] == SURGERY:
        named: str | None = payload["body"].get("explants")
        return named
    return str(payload["body"]["implant"]) if payload["kind"] == REMOVAL else None


def is_adoptable(kind: object) -> bool:
    """Say whether a surgeon may take in records of a kind: what was seen, never a decision."""
    return isinstance(kind, str) and kind.startswith(ADOPTABLE)


def targets_of(payload: dict[str, Any]) -> list[str]:
    """Return the records that this one replaces or makes void."""
    if payload["kind"] in ("record.void", "person.split"):
        return [payload["body"]["target"]]
    return [payload["replaces"]] if payload["replaces"] else []


def surgery_of(record_id: str, payload: dict[str, Any], before: Surgery | None = None) -> Surgery:
    """Return what the rules need to know of a surgery that is stored now.

    Args:
        record_id: its record.
        payload: its payload.
        before: the surgery that it corrects; a lens that was taken out stays so.
    """
    body = payload["body"]
    serial = serial_key(body["serial"])
    out_by, out_on = (None, None) if before is None else (before.out_by, before.out_on)
    return Surgery(
        record_id, payload["person"], payload["eye"], body["operated"], serial, 1, body["order"],
        out_by, out_on,
    )  # fmt: skip


def is_lens_taken(payload: dict[str, Any]) -> bool:
    """Say whether a record takes a lens for an order: the check of a box that agreed."""
    return bool(payload["kind"] == "label.checked" and payload["body"]["outcome"] == "agrees")


def lens_taken(record_id: str, payload: dict[str, Any]) -> LabelCheck:
    """Return which lens the check of a box took for its order."""
    body, label = payload["body"], payload["body"]["first"]
    serial, lot = str(serial_key(label["serial"])), str(serial_key(label["lot"]))
    return LabelCheck(record_id, body["order"], serial, lot, body["gtin"])


def bodies(records: list[Record], name: str) -> set[str]:
    """Return the texts that the records hold in one field of their bodies."""
    said = (record.payload.get("body") for record in records)
    found = (body.get(name) for body in said if isinstance(body, dict))
    return {value for value in found if isinstance(value, str)}


def texts(records: list[Record], name: str) -> set[str]:
    """Return the texts that the records hold in one field beside their bodies."""
    # A record that breaks a rule may hold anything here.
    found = (record.payload.get(name) for record in records)
    return {value for value in found if isinstance(value, str)}


def names_in(payload: dict[str, Any]) -> Iterable[str]:
    """Return every record id that a payload names, whatever else is wrong with it."""
    body = payload.get("body")
    fields: dict[str, Any] = body if isinstance(body, dict) else {}
    shown = fields.get("shown")
    plan: dict[str, Any] = shown if isinstance(shown, dict) else {}
    outcome = plan.get("fellow")
    fellow: dict[str, Any] = outcome if isinstance(outcome, dict) else {}
    lists = [plan.get(name) for name in ("evidence", "followups", "surgeries")]
    lists.append(fellow.get("records"))
    lists += [fields.get(name) for name in ("decisions", "seen", "corrects", "readings", "answers")]
    named = [payload.get("replaces")]
    named += [plan.get(name) for name in ("catalogue", "limits", "vault_model")]
    named += [fields.get(name) for name in NAMING]
    named += [name for names in lists if isinstance(names, list) for name in names]
    return [name for name in named if isinstance(name, str)]
