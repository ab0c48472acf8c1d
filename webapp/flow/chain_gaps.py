"""Gaps in the chains of keys: what is missing, what waits behind it, and declaring it lost.

A phone that was lost may have left record 5 here by way of another phone, and record 4 nowhere.
Declaring the gap closes it in the open: the loss stays listed, record 5 is judged by every rule.
"""

from typing import NamedTuple

from webapp.flow import accounts, desk_record
from webapp.flow.actor import Actor
from webapp.flow.desk_record import Draft
from webapp.flow.refusal import NotFound
from webapp.records.draft import Correction, Subject
from webapp.records.kinds import KINDS, REFERENCE_SITE
from webapp.store import accounts as store_accounts
from webapp.store import chains, devices, gaps, quarantine
from webapp.store.database import writing
from webapp.store.journal import entries_by_id
from webapp.store.quarantine import RefusedRecord


class OpenGap(NamedTuple):
    """Records of one device that are missing here, while later ones wait."""

    kid: str
    name: str
    device: str
    last_heard: str | None
    from_seq: int
    to_seq: int
    waiting: int
    since: str
    last: str
    """Id of the last missing record, as the one after it names it."""


class KnownLoss(NamedTuple):
    """A gap that was declared: what is lost, who said so and why."""

    name: str
    device: str
    from_seq: int
    to_seq: int
    declared_by: str
    declared_at: str
    reason: str


def open_gaps(actor: Actor) -> list[OpenGap]:
    """Return the gaps in the chains of devices whose owners share a site with this person."""
    rows = quarantine.waiting()
    found = [_gap(kid, [r for r in rows if r.kid == kid]) for kid in sorted({r.kid for r in rows})]
    return [gap for gap in found if _is_seen_by(actor, gap.kid)]


def known_losses(actor: Actor) -> list[KnownLoss]:
    """Return the declared gaps of those devices, newest first."""
    declared = [gap for gap in gaps.everything() if _is_seen_by(actor, gap.kid)]
    entries = entries_by_id([gap.id for gap in declared])
    names = store_accounts.names()
    found = []
    for gap in declared:
        entry = entries[gap.id]
        name, label = _owner(gap.kid)
        reason = desk_record.payload_of(entry)["reason"]
        by = names.get(entry.author, entry.author)
        found.append(
            KnownLoss(name, label, gap.from_seq, gap.to_seq, by, entry.received_at, reason)
        )
    return sorted(found, key=lambda loss: loss.declared_at, reverse=True)


def declare(actor: Actor, kid: str, reason: str, passphrase: str) -> None:
    """Declare what is missing before this key's waiting records lost, and judge those anew.

    Raises:
        NotFound: nothing waits in the chain of such a key.
        Refused: neither desk nor administrator, or the passphrase is wrong (field ``passphrase``).
    """
    actor.require("gap.declare")
    role = next(one for one in KINDS["gap.declared"].roles if actor.has_role(one))
    accounts.confirm(actor, passphrase)
    with writing():
        gap = next((one for one in open_gaps(actor) if one.kid == kid), None)
        if gap is None:
            raise NotFound("gap")
        span = {"from_seq": gap.from_seq, "to_seq": gap.to_seq}
        body = {"of_key": kid, **span, "last": gap.last}
        subject = Subject(None, None, REFERENCE_SITE)
        desk_record.write(
            actor, Draft("gap.declared", subject, role, body, Correction(None, reason))
        )


def _gap(kid: str, waiting: list[RefusedRecord]) -> OpenGap:
    seq, _ = chains.heads([kid]).get(kid, (0, None))
    first = min(waiting, key=lambda row: row.seq)
    name, label = _owner(kid)
    device = devices.find(kid)
    return OpenGap(
        kid, name, label, device.last_heard if device else None, seq + 1, first.seq - 1,
        len(waiting), min(row.received_at for row in waiting), str(first.prev),
    )  # fmt: skip


def _owner(kid: str) -> tuple[str, str]:
    """Return the name of a key's owner and its device's label."""
    device = devices.find(kid)
    if device is None:
        return "not known", kid[:8]
    return store_accounts.names().get(device.user, "The base desk"), str(device.label)


def _is_seen_by(actor: Actor, kid: str) -> bool:
    device = devices.find(kid)
    if device is None or actor.has_role("administrator"):
        return actor.has_role("administrator")
    sites = {site for _, _, site in store_accounts.roles_of({device.user})}
    return device.user == devices.DESK or bool(sites & actor.sites("desk", "surgeon"))
