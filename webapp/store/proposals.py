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
