"""What one person proposed and another has to confirm; rows are settled, never deleted."""

from peewee import BigIntegerField, CharField, TextField

from webapp.store.database import Row


class Proposal(Row):
    """One proposal; ``what``, ``subject`` and ``detail`` say what will be done if confirmed."""

    id = CharField(16, primary_key=True)
    what = CharField(index=True)
    subject = CharField()
    detail = CharField()
    words = TextField(default="")
    """A person's own words, such as a reason; they never reach the audit log."""
    by = CharField()
    at_s = BigIntegerField()
    settled_by = CharField(null=True)
    settled_s = BigIntegerField(null=True)
    outcome = CharField(null=True)


class ResetCode(Row):
    """The one-time code with which an account gets a new passphrase; only its hash is kept."""

    user = CharField(primary_key=True)
    hash = CharField(64)
    until_s = BigIntegerField()


def add(proposal_id: str, by: str, now_s: int, **said: str) -> None:
    """Keep a proposal: ``what``, ``subject``, ``detail`` and ``words``."""
    Proposal.create(id=proposal_id, by=by, at_s=now_s, **said)


def open_since(since_s: int) -> list[Proposal]:
    """Return the proposals that nobody has settled, made at or after a moment, oldest first."""
    query = Proposal.select().where(Proposal.outcome.is_null(), Proposal.at_s >= since_s)
    return list(query.order_by(Proposal.at_s, Proposal.id))


def settle(proposal_id: str, by: str, outcome: str, now_s: int) -> bool:
    """Settle an open proposal; say whether it was still open."""
    query = Proposal.update(settled_by=by, settled_s=now_s, outcome=outcome)
    return bool(query.where(Proposal.id == proposal_id, Proposal.outcome.is_null()).execute())


def keep_code(user: str, hashed: str, until_s: int) -> None:
    """Keep the one code of an account in place of an earlier one."""
    ResetCode.delete().where(ResetCode.user == user).execute()
    ResetCode.create(user=user, hash=hashed, until_s=until_s)


def use_code(user: str, hashed: str, now_s: int) -> bool:
    """Take the code of an account away if it is this one and still runs; say whether it was."""
    this = (ResetCode.user == user, ResetCode.hash == hashed, ResetCode.until_s >= now_s)
    return bool(ResetCode.delete().where(*this).execute())
