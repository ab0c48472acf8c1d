"""Accounts: who may sign in, what roles they hold where, and the sessions that are open."""

from typing import NamedTuple

from peewee import JOIN, BigIntegerField, CharField, CompositeKey, ForeignKeyField, IntegerField

from webapp.store.database import Row, rows_among, rows_of, run


class User(Row):
    """A person who works here; accounts are stopped, never deleted, since records name them."""

    id = CharField(primary_key=True)
    sign_in_name = CharField(unique=True)
    name = CharField()
    passphrase_hash = CharField()
    active = IntegerField(default=1)

    class Meta:
        """``user`` is a reserved word in PostgreSQL."""

        table_name = "account"


class UserRole(Row):
    """One role held at one site."""

    user = ForeignKeyField(User, backref="roles")
    role = CharField()
    site = CharField()

    class Meta:
        """Each pair once."""

        table_name = "account_role"
        primary_key = CompositeKey("user", "role", "site")


class Session(Row):
    """A signed-in browser: only the hash of its secret is kept."""

    id = CharField(64, primary_key=True)
    user = ForeignKeyField(User, backref="sessions")
    created_s = BigIntegerField()
    seen_s = BigIntegerField()
    ended_s = BigIntegerField(null=True)
    kid = CharField(64, null=True)
    """The device this browser enrolled or last signed with."""


class Account(NamedTuple):
    """An account with its roles as (role, site) pairs."""

    user_id: str
    sign_in_name: str
    name: str
    passphrase_hash: str
    active: bool
    roles: tuple[tuple[str, str], ...]


def add(user_id: str, sign_in_name: str, name: str, passphrase_hash: str) -> None:
    """Make an account without roles."""
    User.create(id=user_id, sign_in_name=sign_in_name, name=name, passphrase_hash=passphrase_hash)


def set_roles(user_id: str, roles: list[tuple[str, str]]) -> None:
    """Replace the roles of an account; call inside ``writing()``."""
    UserRole.delete().where(UserRole.user == user_id).execute()
    for role, site in sorted(set(roles)):
        UserRole.create(user=user_id, role=role, site=site)


def set_passphrase_hash(user_id: str, passphrase_hash: str) -> None:
    """Replace the passphrase of an account."""
    User.update(passphrase_hash=passphrase_hash).where(User.id == user_id).execute()


def set_active(user_id: str, active: bool) -> None:
    """Stop or restart an account."""
    User.update(active=int(active)).where(User.id == user_id).execute()


def by_sign_in_name(sign_in_name: str) -> Account | None:
    """Return the account with this sign-in name."""
    row = User.get_or_none(User.sign_in_name == sign_in_name)
    return _account(row) if row else None


def by_id(user_id: str) -> Account | None:
    """Return the account with this id."""
    row = User.get_or_none(User.id == user_id)
    return _account(row) if row else None


def everyone() -> list[Account]:
    """Return every account, by name."""
    return [_account(row) for row in User.select().order_by(User.name)]


def names() -> dict[str, str]:
    """Return user id -> name as shown, of everyone."""
    return dict(run("SELECT id, name FROM account"))


def sites_by_user() -> dict[str, tuple[str, ...]]:
    """Return user id -> the sites of their roles, sorted; nobody who holds none."""
    found: dict[str, tuple[str, ...]] = {}
    # Sorted here: databases sort texts each in their own way.
    for user, site in sorted(set(map(tuple, run("SELECT user_id, site FROM account_role")))):
        found[user] = (*found.get(user, ()), site)
    return found


def roles_of(user_ids: set[str]) -> set[tuple[str, str, str]]:
    """Return (user id, role, site) for every role of these users whose account is active."""
    active = "account_role JOIN account ON account.id = account_role.user_id AND active = 1"
    return {tuple(row) for row in rows_among("user_id, role, site", active, "user_id", user_ids)}


def _account(row: User) -> Account:
    roles = run("SELECT role, site FROM account_role WHERE user_id = ?", row.id)
    return Account(
        row.id, row.sign_in_name, row.name, row.passphrase_hash, bool(row.active),
        tuple(sorted((role, site) for role, site in roles)),
    )  # fmt: skip


def begin_session(session_id: str, user_id: str, now_s: int) -> None:
    """Open a session."""
    Session.create(id=session_id, user=user_id, created_s=now_s, seen_s=now_s)


class OpenSession(NamedTuple):
    """A session that has not been ended, with whose it is."""

    id: str
    created_s: int
    seen_s: int
    kid: str | None
    account: Account


def open_session(session_id: str) -> OpenSession | None:
    """Return a session that has not been ended, and its account with the roles of this moment."""
    # One statement: it runs before every request of every phone.
    query = (
        Session.select(
            Session.created_s, Session.seen_s, Session.kid, User.id, User.sign_in_name, User.name,
            User.passphrase_hash, User.active, UserRole.role, UserRole.site,
        )
        .join(User)
        .join(UserRole, JOIN.LEFT_OUTER)
        .where(Session.id == session_id, Session.ended_s.is_null())
    )  # fmt: skip
    rows = rows_of(query)
    if not rows:
        return None
    created_s, seen_s, kid, user_id, sign_in_name, name, passphrase_hash, active, _, _ = rows[0]
    roles = tuple(sorted((role, site) for *_, role, site in rows if role))
    account = Account(user_id, sign_in_name, name, passphrase_hash, bool(active), roles)
    return OpenSession(session_id, created_s, seen_s, kid, account)


def session_seen(session_id: str, now_s: int) -> None:
    """Note that a session was used."""
    Session.update(seen_s=now_s).where(Session.id == session_id).execute()


def bind_device(session_id: str, kid: str) -> None:
    """Note which enrolled device a session belongs to."""
    Session.update(kid=kid).where(Session.id == session_id).execute()


def end_session(session_id: str, now_s: int) -> None:
    """End one session for ever."""
    Session.update(ended_s=now_s).where(Session.id == session_id).execute()


def end_sessions_of(user_id: str, now_s: int, except_for: str = "") -> None:
    """End every open session of a person, but for one."""
    Session.update(ended_s=now_s).where(
        Session.user == user_id, Session.ended_s.is_null(), Session.id != except_for
    ).execute()


def end_sessions_of_device(kid: str, now_s: int) -> None:
    """End every open session of the device with this key."""
    Session.update(ended_s=now_s).where(Session.kid == kid, Session.ended_s.is_null()).execute()
