"""The catalogue and limits that an administrator adopted, the vault models that a surgeon did.

A plan names the records it was made with, so old ones stay readable for ever.
"""

from typing import Any, NamedTuple

from webapp.flow import accounts, desk_record
from webapp.flow.actor import Actor
from webapp.flow.calculation import CoreFailed, ask, body_of
from webapp.flow.desk_record import Draft
from webapp.flow.folding import VAULT_MODEL, WITHDRAWN, in_force
from webapp.flow.refusal import Refused
from webapp.records.draft import Correction, Subject
from webapp.records.errors import BadRecord
from webapp.records.kinds import REFERENCE_SITE, check_body
from webapp.store import accounts as store_accounts
from webapp.store import journal
from webapp.store.database import writing

ADOPTED_BY = {
    "catalogue.adopted": "administrator",
    "limits.adopted": "administrator",
    VAULT_MODEL: "surgeon",
}
"""Kind -> the role that puts it in force."""
SHORTEST_REASON = 10
EVERYWHERE = Subject(None, None, REFERENCE_SITE)


class Version(NamedTuple):
    """One adoption: what, when and by whom."""

    id: str
    body: dict[str, Any]
    received_at: str
    name: str
    """Of the person who adopted it."""


class Withdrawal(NamedTuple):
    """Why an adoption no longer speaks."""

    reason: str
    name: str
    """Of the surgeon who withdrew it."""


def adopt(actor: Actor, kind: str, body: dict[str, Any]) -> str:
    """Adopt a catalogue, limits or a vault model from now on and return the record's id.

    Args:
        actor: an administrator; for a vault model, a surgeon.
        kind: one of ``ADOPTED_BY``.
        body: as the kind lists it.

    Raises:
        Refused: the role is not held, the body breaks a rule, or no plan can use the model.
    """
    role = ADOPTED_BY[kind]
    actor.require_role(role)
    with writing():
        if kind == VAULT_MODEL:
            require_vault_model(body)
        return desk_record.write(actor, Draft(kind, EVERYWHERE, role, body))


def require_vault_model(body: dict[str, Any]) -> None:
    """Refuse a vault model that no record may hold or no plan could use."""
    try:
        check_body(VAULT_MODEL, body, {"person": None, "eye": None})
    except BadRecord as bad:
        raise Refused("record.bad", bad.message, bad.field) from bad
    try:
        ask({"do": "vault_model", "body": body})
    except CoreFailed as failure:
        raise Refused("vault_model.unusable", f"No plan can use this model: {failure}.") from None


def adopt_confirmed(actor: Actor, kind: str, body: dict[str, Any], passphrase: str) -> str:
    """Adopt as ``adopt`` does, once the passphrase was given again.

    Raises:
        Refused: as ``adopt``, or the passphrase is wrong (field ``passphrase``).
    """
    actor.require_role(ADOPTED_BY[kind])
    accounts.confirm(actor, passphrase)
    return adopt(actor, kind, body)


def withdraw_vault_model(actor: Actor, adoption: str, why: str) -> str:
    """Take an adopted vault model out of force and return the record's id.

    Plans fall back to the default prior, and the approvals that rest on it fall.

    Args:
        actor: a surgeon, not only the one who adopted it.
        adoption: id of the record that adopted it.
        why: in words; it is shown where an approval fell.

    Raises:
        Refused: the role is not held, nothing of that id was adopted or it is withdrawn already,
            or the reason is missing (field ``why``).
    """
    actor.require_role(ADOPTED_BY[VAULT_MODEL])
    if len(why.strip()) < SHORTEST_REASON:
        raise Refused("reason.short", "Say in ten characters or more why it is withdrawn.", "why")
    with writing():
        if adoption not in [one.id for one in versions(VAULT_MODEL)]:
            raise Refused("vault_model.unknown", "There is no such adopted vault model.")
        if adoption in withdrawn():
            raise Refused("vault_model.withdrawn", "This vault model is withdrawn already.")
        draft = Draft(
            WITHDRAWN, EVERYWHERE, "surgeon", {"adoption": adoption}, Correction(None, why.strip())
        )
        return desk_record.write(actor, draft)


def withdraw_confirmed(actor: Actor, adoption: str, why: str, passphrase: str) -> str:
    """Withdraw as ``withdraw_vault_model`` does, once the passphrase was given again.

    Raises:
        Refused: as ``withdraw_vault_model``, or the passphrase is wrong (field ``passphrase``).
    """
    actor.require_role(ADOPTED_BY[VAULT_MODEL])
    accounts.confirm(actor, passphrase)
    return withdraw_vault_model(actor, adoption, why)


def withdrawn() -> dict[str, Withdrawal]:
    """Return the withdrawn vault models by the id of their adoption."""
    names = store_accounts.names()
    return {
        one["id"]: Withdrawal(one["reason"], names.get(one["author"], one["author"]))
        for one in in_force()["withdrawn_vault_models"]
    }


def versions(kind: str) -> list[Version]:
    """Return every adoption of a kind, newest first."""
    names = store_accounts.names()
    found = []
    for entry in journal.entries_of_kind(REFERENCE_SITE, kind):
        name = names.get(entry.author, entry.author)
        found.append(Version(entry.id, body_of(entry), entry.received_at, name))
    return found


def as_adopted(catalogue: str, limits: str, vault_model: str | None = None) -> dict[str, Any]:
    """Return the REFERENCE that a plan names, even when newer ones are in force by now."""
    found = journal.entries_by_id([one for one in (catalogue, limits, vault_model) if one])
    named: dict[str, Any] = {
        name: {"id": record_id, "body": body_of(found[record_id])}
        for name, record_id in (("catalogue", catalogue), ("limits", limits))
        if record_id in found
    }
    named["vault_models"] = [
        {"id": one, "author": found[one].author, "body": body_of(found[one])}
        for one in (vault_model,)
        if one in found
    ]
    return named
