"""What is kept apart: genuine records that a rule turned away, and a surgeon's decision about each.

Nothing here counts for any eye. A surgeon may adopt a reading or a registration, one at a time and
with a reason; an approval or an order is given again, never adopted.
"""

from typing import Any, NamedTuple

from webapp.flow import accounts, admission, desk_record
from webapp.flow.actor import Actor
from webapp.flow.desk_record import Draft
from webapp.flow.judging_again import envelope_of
from webapp.flow.ledger import Ledger
from webapp.flow.opening import Opened, open_all
from webapp.flow.refusal import NotFound, Refused
from webapp.flow.said import is_adoptable
from webapp.records import canonical
from webapp.records.draft import Correction, Subject
from webapp.records.errors import BadRecord
from webapp.store import accounts as store_accounts
from webapp.store import devices, installation, quarantine
from webapp.store.database import writing
from webapp.store.projections import cases
from webapp.store.quarantine import RefusedRecord

DECISIONS = ("adopt", "leave")


class Apart(NamedTuple):
    """One record kept apart, as a person reads of it."""

    id: str
    payload: dict[str, Any]
    """As it was signed; unless it is ``whole``, its form may break any rule."""
    whole: bool
    person: str
    """Name of whom it is about, empty where they are not registered."""
    site: str
    """Where it belongs, or where its device's owner works if it names no site of ours."""
    author: str
    """Name of the owner of the key that signed it."""
    device: str
    received_at: str
    code: str
    why: str
    waits: bool
    """An earlier record of its device is missing: nothing can be decided yet."""
    decision: str | None
    kept_out: str | None
    """Why it can't be adopted as things are; None where a surgeon may."""


def listing(actor: Actor, kinds: str = "") -> list[Apart]:
    """Return what is kept apart at the sites of this person, each device's in order.

    Args:
        actor: who asks.
        kinds: how the names of the kinds begin that are wanted; empty for everything.
    """
    rows = [row for row in quarantine.everything() if actor.may("apart.read", _site_of(row))]
    if kinds:
        rows = [row for row in rows if str(payload_of(row).get("kind")).startswith(kinds)]
    return _described(actor, rows)


def find(actor: Actor, record_id: str) -> Apart:
    """Return one record kept apart, NotFound where it is at another site or no longer apart."""
    row = quarantine.find(record_id)
    if row is None or not actor.may("apart.read", _site_of(row)):
        raise NotFound("record")
    return _described(actor, [row])[0]


def decide(actor: Actor, record_id: str, decision: str, reason: str, passphrase: str) -> None:
    """Adopt one record or leave it apart, for good, with the reason as a signed record.

    Raises:
        NotFound: it is not kept apart at a site of this person.
        Refused: not a surgeon there, their own record, it can't be adopted, it was decided
            before, or the passphrase is wrong (field ``passphrase``).
    """
    found = find(actor, record_id)
    actor.require("apart.decide", found.site)
    accounts.confirm(actor, passphrase)
    with writing():
        found = find(actor, record_id)
        _require_open(found, decision)
        body = {"record": record_id, "decision": decision}
        subject = Subject(None, None, found.site)
        said = Draft("quarantine.decided", subject, "surgeon", body, Correction(None, reason))
        desk_record.write(actor, said)
        if decision == "adopt" and quarantine.find(record_id) is not None:
            raise RuntimeError("an adopted record did not enter the journal")


def _require_open(found: Apart, decision: str) -> None:
    if decision not in DECISIONS:
        raise Refused("request.bad", "Choose whether it is adopted or left apart.")
    if found.waits:
        raise Refused("quarantine.waits", "It waits for an earlier record of its device.")
    if decision == "leave" and found.decision:
        raise Refused("quarantine.decided", "This was decided already.")
    if decision == "adopt" and found.kept_out:
        raise Refused("quarantine.kept_out", found.kept_out)


def _described(actor: Actor, rows: list[RefusedRecord]) -> list[Apart]:
    decided = quarantine.decisions([row.id for row in rows])
    names = store_accounts.names()
    opened = open_all([envelope_of(row) for row in rows])
    return [
        _apart(actor, row, one, decided.get(row.id), names)
        for row, one in zip(rows, opened, strict=True)
    ]


def _apart(
    actor: Actor, row: RefusedRecord, opened: Opened, decision: str | None, names: dict[str, str]
) -> Apart:
    device = opened.device
    return Apart(
        row.id, payload_of(row), opened.record is not None and opened.refusal is None,
        _person_of(payload_of(row)), _site_of(row),
        names.get(device.user, "The base desk") if device else "not known",
        device.label if device else "not known", row.received_at, row.code, row.message,
        row.code == quarantine.WAITS, decision, _kept_out(actor, opened),
    )  # fmt: skip


def _kept_out(actor: Actor, opened: Opened) -> str | None:
    """Return why this person can't adopt it, or None: the rules are asked as if they had."""
    record, device = opened.record, opened.device
    if record is None or device is None or opened.refusal:
        return "Its form breaks a rule, so no program can rely on it. Enter what it says again."
    if not is_adoptable(record.payload["kind"]):
        return "Only readings and registrations are adopted. A decision or an order is made again."
    if device.user == actor.user_id:
        return "Whoever made a record can't adopt it. Another surgeon must decide."
    ledger = Ledger([record])
    ledger.decided[record.id] = "adopt"
    try:
        if not ledger.has_place(record):
            admission.takes_place(record, ledger)
        admission.check_rules(record, device, None, ledger)
    except Refused as refusal:
        return refusal.message
    return None


def _person_of(payload: dict[str, Any]) -> str:
    person = payload.get("person")
    row = cases.find(person) if isinstance(person, str) else None
    return str(row.name or "") if row else ""


def payload_of(row: RefusedRecord) -> dict[str, Any]:
    """Return what a record kept apart says, if it can be read at all."""
    try:
        payload = canonical.decode(bytes(row.payload))
    except BadRecord:
        return {}
    return payload if isinstance(payload, dict) else {}


def _site_of(row: RefusedRecord) -> str:
    """Return the site of a record; of one that names none of ours, its owner's first site."""
    named = payload_of(row).get("site")
    if isinstance(named, str) and named in installation.site_titles():
        return named
    device = devices.find(row.kid)
    roles = store_accounts.roles_of({device.user}) if device else set()
    return min((site for _, _, site in roles), default="")
