"""The state of one eye, from its readings and the decisions on it."""

from collections import namedtuple

from webapp.core.case.backup import Pair, in_use, why_in_use
from webapp.core.case.decisions import Decisions, live_orders, open_questions
from webapp.core.case.settling import contradicting
from webapp.core.case.supplier import case_state, order_words, progress
from webapp.core.describe_order import backup_words
from webapp.core.entry import Entry
from webapp.core.lens_words import lens_of, lens_text

# approval: (entry, reasons why it does not stand). Every approval that was not taken back.
State = namedtuple("State", ("name", "why"))
Judged = namedtuple("Judged", ("entry", "reasons"))
SETTLE = "A surgeon who gave neither settles it, or one is taken back."


def state(
    made: Decisions, judged: list[Judged], missing: list[dict[str, str]], pair: Pair | None
) -> State:
    """Return the state and one sentence that says why.

    What is further along the way goes first; a contradiction goes before everything but an order.

    Args:
        made: the decisions on the eye.
        judged: the approvals that count, with the reasons for which they do not stand.
        missing: what is still to be measured.
        pair: the order that stands with that of its back-up lens, None without one.
    """
    standing = [one.entry for one in judged if not one.reasons]
    contradiction = conflict(made, standing)
    if contradiction:
        return State("conflict", contradiction)
    if pair is not None:
        order = in_use(pair)
        found = progress(made, order)
        return State(case_state(found.stage, found), why_in_use(pair, order_words(made, order)))
    questions = open_questions(made)
    if questions:
        return State("returned", "The surgeon asks: " + str(questions[0].body["text"]))
    if standing:
        return State("approved", "Approved: " + lens_of_approval(standing[0]))
    return undecided(made, judged, missing)


def undecided(made: Decisions, judged: list[Judged], missing: list[dict[str, str]]) -> State:
    """Return the state of an eye without an order, question, conflict or standing approval."""
    waiting = {one.id for one in made.open}
    fallen = [one for one in judged if one.entry.body["request"] in waiting]
    answered = {one.entry.body["request"] for one in fallen}
    if fallen and waiting <= answered:
        return State("stale", "The approval no longer stands. " + fallen[-1].reasons[0]["text"])
    if waiting:
        return State("queued", "Waits for the surgeon." + still(missing))
    if made.declines and made.requests:
        return State("declined", "Declined: " + str(made.declines[-1].body["text"]))
    if any(one.id not in made.used for one in made.orders):
        return State("cancelled", "The order was cancelled. Send the eye again for a new plan.")
    if missing:
        return State("measuring", "Still to measure: " + listed(missing) + ".")
    return State("ready", "Nothing is missing.")


def conflict(made: Decisions, standing: list[Entry]) -> str:
    """Return the contradiction between decisions in a sentence, or an empty text."""
    if len(live_orders(made)) > 1:
        return "Two orders stand for this eye. Cancel one at the supplier."
    if live_orders(made):
        return ""
    against = contradicting(standing, made.declines)
    if any(one.kind == "plan.decline" for one in against):
        return "One decision approves and another declines this eye. " + SETTLE
    if against:
        lenses = sorted({lens_of_approval(one) for one in standing})
        return "Approvals name different lenses: " + " / ".join(lenses) + ". " + SETTLE
    return ""


def lens_of_approval(approval: Entry) -> str:
    """Return the approved lens in words, with its back-up where one was named."""
    return lens_text(lens_of(approval.body["shown"]["lens"])) + backup_words(approval.body)


def listed(missing: list[dict[str, str]]) -> str:
    """Return what is missing as a list in words: "White-to-white, pressure"."""
    texts = [one["text"] for one in missing]
    return ", ".join(texts[:1] + [text[:1].lower() + text[1:] for text in texts[1:]])


def still(missing: list[dict[str, str]]) -> str:
    """Return a sentence about what is missing, empty if nothing is."""
    return " Missing now: " + listed(missing) + "." if missing else ""
