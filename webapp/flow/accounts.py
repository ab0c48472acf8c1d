"""Signing in and out: a passphrase opens a session on the server, and ending it ends it there."""

import hashlib
import secrets
import unicodedata
from typing import NamedTuple

from webapp.flow import audit, clock, passphrases
from webapp.flow.actor import Actor, RoleAt
from webapp.flow.refusal import Refused
from webapp.flow.throttle import Throttle
from webapp.store import accounts as store
from webapp.store.database import writing


class Life(NamedTuple):
    """How long a session lasts."""

    idle_s: int
    """Unused."""
    absolute_s: int
    """In all, however much it is used."""


ON_A_PHONE = Life(12 * 3600, 7 * 24 * 3600)
"""A camp lasts days and its network comes and goes; the phone locks itself within minutes."""
AT_THE_DESK = Life(30 * 60, 12 * 3600)
"""A desk's screen stands in a room that others pass through, and a shift ends."""
NOTE_USE_EVERY_S = 60
FRESH_S = 10 * 60
"""How long after signing in a new device may be enrolled."""

throttle = Throttle()


class SignedIn(NamedTuple):
    """A person and the session they act in."""

    actor: Actor
    session_id: str
    began_s: int
    kid: str | None
    """The device this session was bound to when it enrolled one."""


def plain_name(sign_in_name: str) -> str:
    """Return a sign-in name as it is compared: NFC, case folded, no outer spaces."""
    return unicodedata.normalize("NFC", sign_in_name).strip().casefold()


def sign_in(sign_in_name: str, passphrase: str, address: str) -> tuple[str, Actor]:
    """Open a session and return its secret and who signed in.

    Raises:
        Refused: ``sign_in.wrong`` (the same for an unknown name, a wrong passphrase and a stopped
            account) or ``sign_in.wait``.
    """
    account = _known(sign_in_name, passphrase, address)
    secret = secrets.token_urlsafe(32)
    with writing():
        if passphrases.needs_new_hash(account.passphrase_hash):
            store.set_passphrase_hash(account.user_id, passphrases.hash_new(passphrase))
        store.begin_session(_session_id(secret), account.user_id, clock.seconds())
        actor = _actor(account, address)
        audit.note("session.began", actor)
    return secret, actor


def witness(sign_in_name: str, passphrase: str, address: str) -> Actor:
    """Return a second person, who says who they are beside the one signed in; no session begins.

    Raises:
        Refused: as ``sign_in``.
    """
    return _actor(_known(sign_in_name, passphrase, address), address)


def _known(sign_in_name: str, passphrase: str, address: str) -> store.Account:
    """Return the account whose name and passphrase these are. Raises: Refused."""
    name = plain_name(sign_in_name)
    throttle.check(name, address)
    account = store.by_sign_in_name(name)
    matched = passphrases.matches(account.passphrase_hash if account else None, passphrase)
    if account is None or not matched or not account.active:
        throttle.failed(name, address)
        # Never what was typed: people type a passphrase where the name belongs.
        audit.note("sign_in.failed", subject=account.user_id if account else "", address=address)
        raise Refused("sign_in.wrong", "The name or the passphrase is not right. Try again.")
    throttle.succeeded(name, address)
    return account


def confirm(actor: Actor, passphrase: str) -> None:
    """Ask for the passphrase again, before something that cannot be taken back lightly.

    Raises:
        Refused: ``passphrase.wrong`` or ``sign_in.wait``.
    """
    throttle.check(actor.sign_in_name, actor.address)
    account = store.by_id(actor.user_id)
    if account is None or not passphrases.matches(account.passphrase_hash, passphrase):
        throttle.failed(actor.sign_in_name, actor.address)
        audit.note("passphrase.refused", actor)
        raise Refused(
            "passphrase.wrong",
            "The passphrase is not right, so nothing was done. Type it again.",
            "passphrase",
        )
    throttle.succeeded(actor.sign_in_name, actor.address)


def signed_in(secret: str, address: str, life: Life = ON_A_PHONE) -> SignedIn | None:
    """Return who acts in the session of this secret, with the roles they hold at this moment."""
    session = store.open_session(_session_id(secret))
    now_s = clock.seconds()
    if session is None or _is_over(session, now_s, life) or not session.account.active:
        return None
    if now_s - session.seen_s >= NOTE_USE_EVERY_S:
        store.session_seen(session.id, now_s)
    return SignedIn(_actor(session.account, address), session.id, session.created_s, session.kid)


def sign_out(secret: str, address: str = "") -> None:
    """End the session of this secret; a copy of its cookie is worthless from now on."""
    session = store.open_session(_session_id(secret))
    if session is not None:
        with writing():
            store.end_session(session.id, clock.seconds())
            audit.note("session.ended", _actor(session.account, address))


def require_fresh(who: SignedIn) -> None:
    """Raise Refused unless the passphrase was given within the last ten minutes."""
    if clock.seconds() - who.began_s > FRESH_S:
        raise Refused(
            "sign_in.not_fresh",
            "Sign in again first: a new device is only enrolled right after signing in.",
        )


def _is_over(session: store.OpenSession, now_s: int, life: Life) -> bool:
    return now_s - session.seen_s > life.idle_s or now_s - session.created_s > life.absolute_s


def _session_id(secret: str) -> str:
    # Only the hash is kept: who reads the database cannot take over a session.
    return hashlib.sha256(secret.encode("utf-8")).hexdigest()


def actor_of(user_id: str) -> Actor | None:
    """Return a person with the roles held now, or None where there is no such account."""
    account = store.by_id(user_id)
    return _actor(account, "") if account else None


def _actor(account: store.Account, address: str) -> Actor:
    roles = tuple(RoleAt(role, site) for role, site in account.roles)
    return Actor(account.user_id, account.sign_in_name, account.name, roles, address)
