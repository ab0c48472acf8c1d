"""Many histories on every processor, and what they must have reached between them."""

from collections import Counter
from collections.abc import Iterator
from multiprocessing import get_context

from tests.simulation.history import History, Outcome, Plan
from tests.simulation.stories import OPERATED, story_of

ENOUGH = 5000
"""Histories after which each of these must have been reached."""

MUST_REACH = (
    "orders", "orders_again", "cancelled", "quarantined", "restores", "evictions", "revocations",
    "gaps", "gaps_declared", "known_losses", "crashes", "request_lost", "answer_lost",
    "duplicated", "out_of_order", "two_tabs", "two_tabs_write", "forgeries", "restarts_seen",
    "folds_compared", "skews_compared", "decided:adopt:", "decided:leave:", "state:conflict",
    "state:ordered", "state:stale", "settled", "late_answered", "late_open", "orders_settled",
    "refused:settle.own_decision", "refused:late.own_record", "refused:key.revoked",
    "name_key:", "renewed:", "renewed:device.unsent", "renewed:device.ended", "renewals_gone_on",
    "refused:chain.gap",
    "join:", "join:joined.already", "join:joined.own_judgement", "join:joined.not_compared",
    "join:joined.two_orders",
    "separate:", "separate:two_people.same", "separated_as_before", "orders_joined",
    "joined_folds_compared",
    "dropped", "fetched_again", "nothing_written_of_who_is_away",
    "box:", "refused:theatre.outcome", "refused:theatre.same_person", "ready_for_theatre",
    "implanted_as_checked", "implanted_unchecked", "implanted_of_a_dead_order",
    "implanted_unanswered",
    "refused:order.implanted", "refused:surgery.twice", "refused:surgery.check",
    "refused:implant.withdrawn", "refused:urgent.open", "urgent_waits",
    "urgent_answered:", "urgent_and_answered", "urgent_apart", "urgent_sent_first",
    "refused:order.twice", "refused:target.not_own", "refused:approval.own_reading",
)  # fmt: skip
SKEW_EVERY = 40
"""One history in so many is run a second time with every clock right."""

SKEWS = {OPERATED: 8}
"""Of a story that is seldom drawn, more of them."""


def plans(first_seed: int, count: int) -> list[Plan]:
    """Return the plans that so many seeds name, from the first one on."""
    return [Plan(seed, story=story_of(seed)) for seed in range(first_seed, first_seed + count)]


def run(plans: list[Plan], processes: int) -> Iterator[Outcome]:
    """Yield the outcome of each plan, in order."""
    if processes < 2 or len(plans) < 2:
        yield from map(one, plans)
        return
    with get_context("spawn").Pool(processes) as pool:
        yield from pool.imap(one, plans, chunksize=10)


def one(plan: Plan) -> Outcome:
    """Run one history, and some a second time with other clocks (S14)."""
    try:
        outcome = History(plan).run()
    except Exception as fault:
        return Outcome(plan, "", [f"stopped by {fault!r}"], Counter(), [])
    if plan.seed % SKEWS.get(plan.story, SKEW_EVERY) == 0 and not outcome.failures:
        right = History(plan._replace(skews=False)).run()
        outcome.reach["skews_compared"] += 1
        if right.order != outcome.order:
            outcome.failures.append("S14 a wrong clock changed what was stored")
    return outcome


def unreached(reach: Counter[str]) -> list[str]:
    """Return what no history reached."""
    return [name for name in MUST_REACH if not reach[name]]
