"""The rules a genuine record must meet before it is stored: who, where, in what role, about whom.

Each rule raises ``Refused`` with a stable code and a sentence for the person who made the record.
"""

from typing import Any

from webapp.flow import (
    admission_backup,
    admission_exchange,
    admission_follow_up,
    admission_joining,
    admission_key,
    admission_label,
    admission_lens,
    admission_order,
    admission_plan,
    admission_recall,
    admission_surgery,
    admission_theatre,
    admission_urgent,
)
from webapp.flow.actor import Actor
from webapp.flow.ledger import Ledger
from webapp.flow.refusal import Refused
from webapp.records.envelope import Record
from webapp.records.kinds import KINDS, REFERENCE_SITE, may_sign
from webapp.store.devices import DESK, Device
from webapp.store.gaps import Gap

ANYONE_MAY_CORRECT = ("person.registered", "history.answers", "history.health")
OF_THE_DESK = ("theatre.listed",)
"""A day's list is the desk's, whoever of it put an eye there."""
VOIDABLE = (
    "reading.", "history.", "surgery.", "followup.", "person.compared", "exchange.asked",
    *OF_THE_DESK,
)  # fmt: skip


def takes_place(record: Record, ledger: Ledger) -> bool:
    """Say whether a record takes the next place in its key's chain, or raise why it does not fit.

    A record of a gap that was declared comes too late for a place; it may be adopted without one.
    """
    seq, newest = ledger.chains.get(record.kid, (0, None))
    offered, prev = record.payload["seq"], record.payload["prev"]
    for gap in ledger.gaps:
        if gap.kid == record.kid and gap.from_seq <= offered <= gap.to_seq:
            return _comes_late(record, gap, ledger)
        if gap.kid == record.kid and (seq, offered, prev) == (
            gap.from_seq - 1,
            gap.to_seq + 1,
            gap.last,
        ):
            return True
    if offered > seq + 1:
        raise Refused("chain.gap", "An earlier record of this device is missing here. Send again.")
    if offered <= seq or prev != newest:
        raise Refused(
            "chain.fork",
            "Another record of this device already has this place. Was the phone's data copied? "
            "Enrol the device again and enter this once more.",
        )
    return True


def _comes_late(record: Record, gap: Gap, ledger: Ledger) -> bool:
    if not ledger.is_adopted(record):
        raise Refused(
            "gap.late",
            "This record was declared lost before it came. It is kept apart until a surgeon "
            "decides about it at the desk.",
        )
    return False


def check_rules(record: Record, device: Device, carrier: Actor | None, ledger: Ledger) -> None:
    """Refuse a record that breaks a rule.

    Args:
        record: a genuine record of a known kind, fields already checked.
        device: the key that signed it.
        carrier: who handed it in, not necessarily its author; None for what the base had itself.
        ledger: what the transaction knows.
    """
    payload = record.payload
    _check_signer(payload, device)
    _check_site(payload, carrier, ledger)
    if not ledger.is_adopted(record):
        admission_key.check(payload, device)
        _check_role(payload, ledger)
    _check_person(payload, ledger)
    _check_replaces(payload, ledger)
    if payload["kind"] == "record.void":
        _check_void(payload, ledger)
    if payload["kind"] == "person.compared":
        _check_compared(payload, ledger)
    admission_plan.check(payload, ledger)
    admission_backup.check(payload, ledger)
    admission_order.check(payload, ledger)
    admission_surgery.check(payload, ledger)
    admission_lens.check(record, ledger)
    admission_exchange.check(payload, ledger)
    admission_follow_up.check(payload, ledger)
    admission_recall.check(payload, ledger)
    admission_joining.check(payload, ledger)
    admission_label.check(record.id, payload, ledger)
    admission_theatre.check(record, ledger)
    admission_urgent.check(record, ledger)


def _check_signer(payload: dict[str, Any], device: Device) -> None:
    is_desk = device.user == DESK
    title = KINDS[payload["kind"]].title
    if not is_desk and device.user != payload["author"]:
        raise Refused("author.other", "The record names another author than its device's owner.")
    if not may_sign(payload["kind"], "desk" if is_desk else "device"):
        where = "on the desk's pages" if not is_desk else "on a person's own device"
        raise Refused("kind.signer", f"{title} is only made {where}.")


def _check_site(payload: dict[str, Any], carrier: Actor | None, ledger: Ledger) -> None:
    site = payload["site"]
    if site != REFERENCE_SITE and site not in ledger.sites:
        raise Refused("site.unknown", f"{site} is not a site of this hospital.")
    if carrier is not None and not carrier.may_read(site, "record.push"):
        raise Refused("site.not_yours", f"You do not work at {ledger.sites[site]}.")


def _check_role(payload: dict[str, Any], ledger: Ledger) -> None:
    author, role, site = payload["author"], payload["role"], payload["site"]
    if site == REFERENCE_SITE:
        held = any((user, held) == (author, role) for user, held, _ in ledger.roles)
    else:
        held = (author, role, site) in ledger.roles
    if not held:
        place = ledger.sites.get(site, "this hospital")
        raise Refused(
            "role.not_held",
            f"Its author does not hold the role {role} at {place} now. Ask the administrator, "
            "then offer the record again.",
        )


def _check_person(payload: dict[str, Any], ledger: Ledger) -> None:
    person = payload["person"]
    if person is None:
        return
    site = ledger.person_sites.get(person)
    if site is not None and site != payload["site"]:
        raise Refused(
            "person.elsewhere",
            f"This person is registered at {ledger.sites.get(site, site)}; records about them "
            "belong there.",
        )
    if payload["kind"] != "person.registered" or payload["replaces"]:
        if site is None:
            raise Refused("person.unknown", "The registration of this person is not here yet.")
    elif site is not None:
        raise Refused("person.twice", "This person is registered already; correct that record.")


def _check_replaces(payload: dict[str, Any], ledger: Ledger) -> None:
    if payload["replaces"] is None:
        return
    target = ledger.find(payload["replaces"])
    if target is None:
        raise Refused("target.unknown", "The record that this one replaces is not here yet.")
    same = (target.kind, target.person, target.eye)
    if same != (payload["kind"], payload["person"], payload["eye"]):
        raise Refused(
            "target.other",
            "A correction must be of the same quantity, person and eye as what it replaces.",
        )
    anyone = payload["kind"] in (*ANYONE_MAY_CORRECT, *OF_THE_DESK)
    _check_own(payload, target.author, anyone)
    _check_live(payload["replaces"], ledger)


def _check_compared(payload: dict[str, Any], ledger: Ledger) -> None:
    if payload["body"]["other"] not in ledger.person_sites:
        raise Refused("compared.unknown", "The registration of the other person is not here yet.")


def _check_void(payload: dict[str, Any], ledger: Ledger) -> None:
    target_id = payload["body"]["target"]
    target = ledger.find(target_id)
    if target is None:
        raise Refused("target.unknown", "The record to be withdrawn is not here yet.")
    if not target.kind.startswith(VOIDABLE):
        raise Refused("target.kind", f"{KINDS[target.kind].title} cannot be withdrawn this way.")
    if (target.person, target.eye) != (payload["person"], payload["eye"]):
        raise Refused("target.other", "The record to be withdrawn is of another person or eye.")
    of_desk = target.kind in OF_THE_DESK
    if of_desk and payload["role"] != "desk":
        raise Refused("target.desk", "The base desk takes an eye off a list.")
    _check_own(payload, target.author, of_desk)
    _check_live(target_id, ledger)


def _check_own(payload: dict[str, Any], author: str, anyone: bool) -> None:
    if author != payload["author"] and not anyone:
        raise Refused(
            "target.not_own",
            "Only the person who made a record may correct or withdraw it. Add your own reading.",
        )


def _check_live(target_id: str, ledger: Ledger) -> None:
    if target_id in ledger.superseded:
        raise Refused(
            "target.not_live",
            "That record was already replaced or withdrawn. Look at the newest one first.",
        )
