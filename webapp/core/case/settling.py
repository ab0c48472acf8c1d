"""Decisions that contradict each other, and their settlement by a surgeon who gave none of them.

A settlement only takes away: what it did not keep is set aside, what it kept has to stand by
itself. So two settlements that differ leave nothing standing, and a decision that a settlement did
not know contradicts what was kept until it is settled too (invariants I9, I18).
"""

from webapp.core.entry import Entry, in_display_order
from webapp.core.exam import Exam
from webapp.core.live import of_kind

DECIDED = ("plan.approval", "plan.decline", "exchange.decided")


def contradicting(approvals: list[Entry], declines: list[Entry]) -> list[Entry]:
    """Return the decisions that cannot all be right; nothing where they agree.

    Args:
        approvals: of one eye, each of which stands by itself.
        declines: of that eye.
    """
    asked = {one.body["request"] for one in approvals}
    against = [one for one in declines if one.body["request"] in asked]
    if against or len({approval_key(one) for one in approvals}) > 1:
        return approvals + against
    return []


def contradicting_exchanges(standing: list[Entry]) -> list[Entry]:
    """Return the decisions about one lens that cannot all be right; nothing where they agree.

    Args:
        standing: decisions about the same lens, each of which stands by itself.
    """
    return standing if len({decision_key(one) for one in standing}) > 1 else []


def decision_key(decision: Entry) -> str:
    """Return what two decisions about a lens must share to mean the same."""
    lens = decision.body["shown"]["lens"]
    return str(decision.body["decision"]) + ("" if lens is None else "|" + lens_key(lens))


def approval_key(approval: Entry) -> str:
    """Return what two approvals must share to order the same: the lens, and the back-up or none."""
    backup = approval.body.get("backup")
    chosen = lens_key(approval.body["shown"]["lens"])
    return chosen + ("" if backup is None else "|back-up|" + lens_key(backup))


def lens_key(lens: dict[str, object]) -> str:
    """Return what two approvals must share to order the same lens: every field of it."""
    return "|".join([name + "=" + str(lens[name]) for name in sorted(lens)])


def settlements(exam: Exam) -> list[Entry]:
    """Return the settlements of this eye that count, in the order in which they are shown."""
    eye, live = exam.this.eye, exam.standing.live
    gone = [one for one, _ in exam.standing.withdrawn]
    given = {one.id: one for one in live + gone if one.eye == eye and one.kind in DECIDED}
    settled = of_kind(live, "decision.settled", eye)
    return in_display_order([one for one in settled if counts(one, given)])


def counts(settlement: Entry, given: dict[str, Entry]) -> bool:
    """Return whether a settlement is by a surgeon who gave none of the decisions it names.

    One of them may not be here yet; what is here is set aside all the same, which is the safe side.
    """
    named = [given[name] for name in settlement.body["decisions"] if name in given]
    by_another = all(one.author != settlement.author for one in named)
    return settlement.role == "surgeon" and by_another


def set_aside(settled: list[Entry]) -> dict[str, Entry]:
    """Return the id of each decision that a settlement did not keep, with that settlement."""
    return {
        name: one
        for one in settled
        for name in one.body["decisions"]
        if name != one.body["kept"]
    }  # fmt: skip
