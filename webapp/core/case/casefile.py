"""The case file of a person: from any set of records, in any order, the state of both eyes.

Pure, and the same on every device that holds the same records (invariants I5, I6, I23).
"""

from webapp.core.case import readings
from webapp.core.case.approval import stale_reasons
from webapp.core.case.as_json import (
    approval_json,
    current_approval,
    fact_json,
    order_json,
    person_json,
    question_json,
    request_json,
    text_json,
)
from webapp.core.case.changes import changes
from webapp.core.case.decisions import Decisions, decisions, live_orders
from webapp.core.case.state import Judged, State, state
from webapp.core.describe import line
from webapp.core.entry import Entry, in_display_order, one_person
from webapp.core.exam import Exam, examine
from webapp.core.finding import Finding, as_json, fixed_stop, ordered
from webapp.core.live import WITHDRAWALS, evidence, of_kind, target_of
from webapp.core.reference import Reference
from webapp.core.rules import every as rules

# What touches an eye that has been ordered for. A newer catalogue or the passing of time does not.
LATE = ("evidence.added", "evidence.removed", "withdrawn", "question")


def fold(entries: list[Entry], reference: Reference, today: str) -> dict[str, object]:
    """Return the person, the answers and both eyes.

    Args:
        entries: records of one person, each once.
        reference: the lens catalogue and limits in force.
        today: ``YYYY-MM-DD``.

    Raises:
        BadInput: the records belong to more than one person.
    """
    one_person(entries)
    exams = {eye: examine(entries, reference, eye, today) for eye in ("R", "L")}
    exam = exams["R"]
    return {
        "person": None if exam.person is None else person_json(exam.person, today),
        "history": None if exam.answers is None else fact_json(exam.answers),
        "health": None if exam.health is None else fact_json(exam.health),
        "eyes": {eye: eye_json(exams[eye], entries) for eye in ("R", "L")},
    }


def eye_json(exam: Exam, entries: list[Entry]) -> dict[str, object]:
    """Return one eye as it stands."""
    made = decisions(exam)
    missing = rules.missing(exam)
    findings = rules.findings(exam)
    judged = [
        Judged(one, stale_reasons(exam, made, one, findings))
        for one in in_display_order(made.approvals + made.taken_back)
    ]
    standing = [one for one in judged if one.entry not in made.taken_back]
    now = state(made, standing, missing)
    request = current_request(made)
    return {
        "state": now.name,
        "state_why": now.why,
        "missing": missing,
        "wanted": readings.wanted(exam),
        "readings": readings.readings(exam),
        "withdrawn": readings.withdrawn(exam),
        "unread": readings.unread(exam),
        "findings": [as_json(one) for one in ordered(findings + decided(exam, made, judged, now))],
        "request": None if request is None else request_json(request),
        "approval": current_approval(standing),
        "approvals": [approval_json(one) for one in judged],
        "question": question_json(made),
        "decline": None if not made.declines else text_json(made.declines[-1]),
        "order": order_json(exam, made),
        "changed_since": {"request": changed_since(exam, request)},
        "evidence": evidence(exam.standing.live, exam.this.eye),
        "timeline": timeline(entries, exam.this.eye),
    }


def current_request(made: Decisions) -> Entry | None:
    """Return the request to show: an open one before a closed one. Which one decides nothing."""
    candidates: list[Entry] = made.open or made.requests
    return candidates[-1] if candidates else None


def changed_since(exam: Exam, request: Entry | None) -> list[dict[str, str]]:
    """Return what changed since the eye was sent."""
    if request is None:
        return []
    return changes(exam, request.body["shown"]["evidence"], request, "the request")


def decided(exam: Exam, made: Decisions, judged: list[Judged], now: State) -> list[Finding]:
    """Return findings about the decisions: contradictions, and evidence that came too late."""
    found = []
    if now.name == "conflict":
        found.append(fixed_stop(
            "decisions.conflict", "decisions", "Decisions contradict each other", now.why,
            "Whoever decided in error takes the decision back.",
            [one.entry.id for one in judged if not one.reasons],
        ))  # fmt: skip
    for order in live_orders(made):
        found += wrong_order(exam, made, order)
        for one in judged:
            late = [reason for reason in one.reasons if reason["code"] in LATE]
            if one.entry.id == order.body["approval"] and late:
                found.append(fixed_stop(
                    "decisions.late_evidence", "decisions", "Changed after the order",
                    " ".join(reason["text"] for reason in late)
                    + " The order stands at the supplier.",
                    "The surgeon decides: keep it, cancel it, or plan again.", [order.id],
                ))  # fmt: skip
    return found


def wrong_order(exam: Exam, made: Decisions, order: Entry) -> list[Finding]:
    """D24: an order for another eye, or for another lens, than its approval signed."""
    signed = {one.id: one for one in made.approvals + made.taken_back}
    mine = signed.get(order.body["approval"])
    elsewhere = of_kind(exam.standing.live, "plan.approval")
    if mine is None and all(one.id != order.body["approval"] for one in elsewhere):
        return []  # Its approval is not here; nothing can be compared.
    if mine is not None and mine.body["shown"]["lens"] == order.body["lens"]:
        return []
    what = "eye" if mine is None else "lens"
    return [fixed_stop(
        "D24.order_" + what, "wrong_eye", "Order for another " + what,
        "The order of this eye names an approval of another " + what + ".",
        "Cancel the order at the supplier at once.", [order.id],
    )]  # fmt: skip


def timeline(entries: list[Entry], eye: str) -> list[dict[str, object]]:
    """Return every record that concerns this eye in one line each, oldest first."""
    lines = {entry.id: line(entry) for entry in entries}
    return [
        {
            "id": one.id,
            "kind": one.kind,
            "author": one.author,
            "wall": one.wall,
            "text": lines[one.id] + of_what(one, lines),
        }
        for one in in_display_order(entries)
        if one.eye in (None, eye)
    ]


def of_what(entry: Entry, lines: dict[str, str]) -> str:
    """Return what a withdrawal took out, in brackets; nothing for another record."""
    target = lines.get(target_of(entry) or "") if entry.kind in WITHDRAWALS else None
    return "" if target is None else " (" + target + ")"
