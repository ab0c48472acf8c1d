"""How the parts of a case file cross the door: the person, and each decision with its maker."""

from webapp.core.age import age_range, age_words
from webapp.core.case.backup import Pair, in_use
from webapp.core.case.decisions import (
    Decisions,
    is_answered,
    is_cancelled,
    live_orders,
    open_questions,
)
from webapp.core.case.late import Late, blocks, next_step
from webapp.core.case.state import Judged
from webapp.core.case.supplier import about, progress_json
from webapp.core.entry import Entry, in_display_order
from webapp.core.exam import Exam
from webapp.core.live import of_kind


def fact_json(entry: Entry) -> dict[str, object]:
    """Return a fact about the person: its fields, and which record says so."""
    answer = {name: value for name, value in entry.body.items()}
    answer["record"] = entry.id
    answer["author"] = entry.author
    answer["wall"] = entry.wall
    return answer


def person_json(person: Entry, today: str) -> dict[str, object]:
    """Return the person with today's age."""
    answer = fact_json(person)
    answer["id"] = person.person
    answer["age_y"] = age_range(person, today)[1]
    answer["age_text"] = age_words(person, today)
    return answer


def request_json(request: Entry) -> dict[str, object]:
    """Return a request with what it was sent with."""
    answer = stamp(request)
    answer["shown"] = request.body["shown"]
    answer["digest"] = request.body["digest"]
    return answer


def stamp(entry: Entry) -> dict[str, object]:
    """Return who made a record and when, as far as is known here."""
    return {
        "id": entry.id,
        "author": entry.author,
        "wall": entry.wall,
        "received": entry.received,
    }


def text_json(entry: Entry) -> dict[str, object]:
    """Return a record that carries a text."""
    answer = stamp(entry)
    answer["text"] = entry.body["text"]
    return answer


def decline_json(decline: Entry) -> dict[str, object]:
    """Return a refusal of an eye with the request it answers."""
    answer = text_json(decline)
    answer["request"] = decline.body["request"]
    return answer


def settlement_json(settlement: Entry) -> dict[str, object]:
    """Return which decisions were settled, which one was kept, and why."""
    answer = stamp(settlement)
    answer["decisions"] = settlement.body["decisions"]
    answer["kept"] = settlement.body["kept"]
    answer["reason"] = settlement.reason
    return answer


def answer_json(given: Entry) -> dict[str, object]:
    """Return what a surgeon answered to late records."""
    answer = stamp(given)
    for name in ("order", "seen", "answer"):
        answer[name] = given.body[name]
    answer["reason"] = given.reason
    return answer


def late_json(found: Late | None) -> dict[str, object] | None:
    """Return what came after the order; None where no order stands.

    ``blocks`` is 1 while the lens must not be released; ``next`` is "answer" (by a surgeon),
    "cancel" or "plan_again" (the desk cancels at the supplier), or "none".
    """
    if found is None:
        return None
    standing = found.standing
    return {
        "order": found.order.id,
        "items": found.items,
        "unanswered": found.unanswered,
        "answers": [answer_json(one) for one in found.answers],
        "answer": None if standing is None else answer_json(standing),
        "next": next_step(found),
        "blocks": 1 if blocks(found) else 0,
    }


def approval_json(judged: Judged) -> dict[str, object]:
    """Return an approval, whether it stands, and why not."""
    body = judged.entry.body
    answer = stamp(judged.entry)
    answer["kind"] = judged.entry.kind
    for name in ("shown", "digest", "acknowledged", "overrides"):
        answer[name] = body[name]
    # A plan's approval answers a request; a decision about a lens in the eye names that lens.
    for name in ("request", "implant", "decision", "sure", "note", "backup"):
        answer[name] = body.get(name)
    answer["live"] = 0 if judged.reasons else 1
    answer["stale"] = judged.reasons
    return answer


def current_approval(standing: list[Judged]) -> dict[str, object] | None:
    """Return the approval to show: one that stands before one that does not."""
    if not standing:
        return None
    live = [one for one in standing if not one.reasons]
    return approval_json((live or standing)[-1])


def question_json(made: Decisions) -> dict[str, object] | None:
    """Return the question to show: an open one before an answered one."""
    candidates = open_questions(made) or made.questions
    if not candidates:
        return None
    question = candidates[-1]
    answer = text_json(question)
    answer["request"] = question.body["request"]
    answer["answered"] = 1 if is_answered(made, question) else 0
    replies = [one for one in made.answers if one.body["question"] == question.id]
    answer["answers"] = [text_json(one) for one in in_display_order(replies)]
    return answer


def shown_order(made: Decisions, pair: Pair | None) -> Entry | None:
    """Return the order to show: of the lens to be implanted, else one that stands, else any."""
    candidates: list[Entry] = live_orders(made) or made.orders
    if pair is not None:
        return in_use(pair)
    return candidates[-1] if candidates else None


def order_json(exam: Exam, made: Decisions, order: Entry | None) -> dict[str, object] | None:
    """Return an order; None of none."""
    if order is None:
        return None
    live, eye = exam.standing.live, exam.this.eye
    named = about(made, order, "order.referenced")
    copies = [one for one in of_kind(live, "order.printed", eye) if one.body["order"] == order.id]
    answer = stamp(order)
    for name in ("number", "lens", "approval", "digest"):
        answer[name] = order.body[name]
    answer["backup_of"] = order.body.get("backup_of")
    answer["supplier_reference"] = named[-1].body["supplier_reference"] if named else None
    answer["copies"] = len(copies)
    answer["live"] = 0 if is_cancelled(made, order) else 1
    ends = [one for one in made.cancellations if one.body["order"] == order.id]
    answer["cancelled"] = ends[0].reason if ends else None
    answer["progress"] = progress_json(made, order)
    return answer
