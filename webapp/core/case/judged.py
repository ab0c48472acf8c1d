"""Every decision that an order may be placed from, judged; and which of them count in an eye now.

With a lens in the eye only decisions about that lens count, without one only approvals of a plan.
One whose order was implanted is done with and decides nothing more.
"""

from webapp.core.case.approval import stale_reasons
from webapp.core.case.as_json import approval_json
from webapp.core.case.asking import asked_json, state_with_asks
from webapp.core.case.decisions import Decisions, live_orders
from webapp.core.case.exchanging import about_lens, exchange_reasons, exchange_state
from webapp.core.case.implants import Implant
from webapp.core.case.settling import contradicting, contradicting_exchanges
from webapp.core.case.state import Judged, State
from webapp.core.entry import Entry, in_display_order
from webapp.core.exam import Exam
from webapp.core.finding import Finding
from webapp.core.rules import exchange as exchange_rules

APPROVAL = "plan.approval"


def all_judged(
    exam: Exam, made: Decisions, findings: list[Finding], lens: Implant | None
) -> list[Judged]:
    """Return every approval and decision of an eye with the reasons for which it does not stand.

    Args:
        exam: the eye as it stands.
        made: the decisions on it.
        findings: of its readings as they stand.
        lens: the lens in it, None without one.
    """
    about = [] if lens is None else exchange_rules.findings(exam, lens)
    found = []
    for one in in_display_order(made.approvals + made.exchanges + made.taken_back):
        if one.kind == APPROVAL:
            found.append(Judged(one, stale_reasons(exam, made, one, findings)))
        else:
            found.append(Judged(one, exchange_reasons(exam, made, one, about)))
    return found


def plans(judged: list[Judged], made: Decisions) -> list[Judged]:
    """Return the approvals of a plan that were neither taken back nor done with."""
    return [
        one
        for one in judged
        if one.entry.kind == APPROVAL
        and one.entry not in made.taken_back
        and one.entry.id not in made.used
    ]


def about_this(judged: list[Judged], made: Decisions, lens: Implant) -> list[Judged]:
    """Return the decisions about the lens in the eye that were neither taken back nor done with."""
    return [one for one in about_lens(judged, lens, made) if one.entry not in made.taken_back]


def to_show(judged: list[Judged], made: Decisions, lens: Implant | None) -> list[Judged]:
    """Return the decisions of which one is shown: those that count, else what the lens came from.

    An eye whose lens was taken out shows none until it is planned again.
    """
    if lens is None:
        return plans(judged, made)
    kept = [one for one in judged if one.entry not in made.taken_back]
    return about_this(judged, made, lens) or [one for one in kept if one.entry.kind == APPROVAL]


def of_one_kind(judged: list[Judged], made: Decisions) -> list[Judged]:
    """Return the decisions that speak about the order that stands: those of its own kind."""
    ordered_from = [order.body["approval"] for order in live_orders(made)[:1]]
    kinds = [one.entry.kind for one in judged if one.entry.id in ordered_from]
    return [one for one in judged if one.entry.kind == (kinds or [APPROVAL])[0]]


def lens_state(
    judged: list[Judged], made: Decisions, lens: Implant | None, now: State
) -> State | None:
    """Return the state by what was asked, decided and ordered about the lens in an eye, or None.

    Args:
        judged: every decision of the eye.
        made: the decisions on it.
        lens: the lens in it, None without one.
        now: the state that the order which stands puts the eye in.
    """
    if lens is None:
        return None
    about = [one.entry.id for one in about_lens(judged, lens, made)]
    if any(order.body["approval"] in about for order in live_orders(made)):
        return now
    return state_with_asks(made, lens, exchange_state(about_this(judged, made, lens)))


def contradicting_ids(judged: list[Judged], made: Decisions) -> list[str]:
    """Return the decisions that a settlement would have to name, sorted; none without an issue."""
    if live_orders(made):
        return []
    stand = [one.entry for one in judged if not one.reasons and one.entry.id not in made.used]
    approvals = [one for one in stand if one.kind == APPROVAL]
    others = contradicting_exchanges([one for one in stand if one.kind != APPROVAL])
    against: list[Entry] = others or contradicting(approvals, made.declines)
    return sorted([one.id for one in against])


def exchange_json(
    judged: list[Judged], made: Decisions, lens: Implant | None
) -> dict[str, object] | None:
    """Return what was decided about the lens in an eye; None without a lens in it.

    ``can_decide`` is 0 while an order for this eye stands.
    """
    if lens is None:
        return None
    return {
        "implant": lens.entry.id,
        "can_decide": 0 if live_orders(made) else 1,
        "decisions": [approval_json(one) for one in about_lens(judged, lens, made)],
        "asked": asked_json(made, lens),
    }
