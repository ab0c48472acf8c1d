"""The case file of a person: from any set of records, in any order, the state of both eyes.

Pure, and the same on every device that holds the same records (invariants I5, I6, I23).
"""

from webapp.core.case import late, readings
from webapp.core.case.as_json import (
    approval_json,
    current_approval,
    decline_json,
    fact_json,
    late_json,
    order_json,
    person_json,
    question_json,
    request_json,
    settlement_json,
    shown_order,
    text_json,
)
from webapp.core.case.backup import Pair, backup_findings, backups_of, in_use, pair_of
from webapp.core.case.backup_json import backup_json
from webapp.core.case.boxes import box_findings, boxes, boxes_json, state_with
from webapp.core.case.changes import changes
from webapp.core.case.decisions import ORDERED_FROM, Decisions, decisions, live_orders
from webapp.core.case.implants import only_implant
from webapp.core.case.judged import (
    all_judged,
    contradicting_ids,
    exchange_json,
    lens_state,
    of_one_kind,
    plans,
    to_show,
)
from webapp.core.case.overdue import overdue
from webapp.core.case.put_aside import aside_json
from webapp.core.case.state import Judged, State, state
from webapp.core.case.supplier import differing_findings, progress_json
from webapp.core.case.surgery import state_after, surgeries_json
from webapp.core.case.theatre import stop_findings, theatre_json
from webapp.core.case.theatre_surgery import unchecked
from webapp.core.describe import line
from webapp.core.entry import Entry, in_display_order
from webapp.core.exam import Exam, examine
from webapp.core.finding import Finding, as_json, fixed_stop, ordered
from webapp.core.follow_up.urgent import urgent_json
from webapp.core.joining import in_one, joined_json
from webapp.core.live import WITHDRAWALS, evidence, target_of
from webapp.core.reference import Reference
from webapp.core.rules import after_surgery
from webapp.core.rules import every as rules
from webapp.core.trust import doubts


def fold(entries: list[Entry], reference: Reference, today: str) -> dict[str, object]:
    """Return the person, the answers and both eyes.

    Args:
        entries: records of one person, each once.
        reference: the lens catalogue and limits in force.
        today: ``YYYY-MM-DD``.

    Raises:
        BadInput: the records belong to more than one person.
    """
    entries = in_one(entries)
    exams = {eye: examine(entries, reference, eye, today) for eye in ("R", "L")}
    exam = exams["R"]
    return {
        "person": None if exam.person is None else person_json(exam.person, today),
        "history": None if exam.answers is None else fact_json(exam.answers),
        "joined": joined_json(entries),
        "health": None if exam.health is None else fact_json(exam.health),
        "eyes": {eye: eye_json(exams[eye], entries) for eye in ("R", "L")},
    }


def eye_json(exam: Exam, entries: list[Entry]) -> dict[str, object]:
    """Return one eye as it stands."""
    made = decisions(exam)
    missing = rules.missing(exam)
    findings = rules.findings(exam)
    lens = only_implant(exam.standing, exam.this.eye)
    judged = all_judged(exam, made, findings, lens)
    found = late.late(exam, made, of_one_kind(judged, made))
    pair = pair_of(exam, made)
    checked = boxes(exam, made, found, pair)
    now = state_with(checked, state(made, plans(judged, made), missing, pair))
    now = state_after(exam, now, lens_state(judged, made, lens, now))
    request = current_request(made)
    told = findings + decided(exam, made, judged, now, found, pair) + after_surgery.findings(exam)
    told += box_findings(checked) + stop_findings(checked) + unchecked(exam)
    told += backup_findings(pair)
    return {
        "state": now.name,
        "state_why": now.why,
        "missing": missing,
        "wanted": readings.wanted(exam),
        "readings": readings.readings(exam),
        "withdrawn": readings.withdrawn(exam),
        "unread": readings.unread(exam),
        "findings": [as_json(one) for one in ordered(told)],
        "request": None if request is None else request_json(request),
        "approval": current_approval(to_show(judged, made, lens)),
        "exchange": exchange_json(judged, made, lens),
        "approvals": [approval_json(one) for one in judged],
        "question": question_json(made),
        "decline": None if not made.declines else text_json(made.declines[-1]),
        "declines": [decline_json(one) for one in made.declines],
        "contradicting": contradicting_ids(judged, made),
        "settlements": [settlement_json(one) for one in made.settlements],
        "late": late_json(found),
        "order": order_json(exam, made, shown_order(made, pair)),
        "backup": backup_json(exam, made, found, pair),
        "box": boxes_json(checked),
        "theatre": theatre_json(exam, pair, checked, now),
        "aside": aside_json(exam),
        "overdue": overdue(exam, made, now.name, pair),
        "orders": [progress_json(made, one) for one in made.orders + made.backups],
        "changed_since": {"request": changed_since(exam, request)},
        "evidence": evidence(exam.standing.live, exam.this.eye),
        "surgeries": surgeries_json(exam),
        "urgent": urgent_json(exam),
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
    told = doubts(exam.reference.revoked_keys, exam.reference.recalled_cores, request)
    return told + changes(exam, request.body["shown"]["evidence"], request, "the request")


def decided(
    exam: Exam,
    made: Decisions,
    judged: list[Judged],
    now: State,
    found: late.Late | None,
    pair: Pair | None,
) -> list[Finding]:
    """Return findings about the decisions: contradictions, and what came after an order."""
    told = []
    if now.name == "conflict":
        told.append(fixed_stop(
            "decisions.conflict", "decisions", "Decisions contradict each other", now.why,
            "A third surgeon settles it, or whoever decided in error takes the decision back.",
            contradicting_ids(judged, made),
        ))  # fmt: skip
    for order in live_orders(made):
        told += wrong_order(exam, made, order)
        for backup in backups_of(made, order):
            told += wrong_order(exam, made, backup)
    for order in live_orders(made) if pair is None else [in_use(pair)]:
        told += differing_findings(made, order)
    return told + ([] if found is None else late_findings(found))


def late_findings(found: late.Late) -> list[Finding]:
    """Return what came after the order, and what a surgeon answered to it."""
    order, step = found.order.id, late.next_step(found)
    if step == "answer":
        return [fixed_stop(
            "decisions.late_evidence", "decisions", "Changed after the order",
            " ".join([one["text"] for one in found.unanswered])
            + " The order stands at the supplier.",
            "A surgeon answers: keep it, cancel it, or plan again. Until then the lens is not"
            " released.", [order],
        )]  # fmt: skip
    if step == "none":
        return []
    again = " Then the camp sends the eye again." if step == "plan_again" else ""
    return [fixed_stop(
        "decisions.to_cancel", "decisions", "To be cancelled at the supplier",
        "A surgeon decided after the order that this lens is not implanted: "
        + str(found.standing.reason),
        "The desk cancels the order at the supplier, and here." + again, [order],
    )]  # fmt: skip


def wrong_order(exam: Exam, made: Decisions, order: Entry) -> list[Finding]:
    """D24: an order for another eye, or for another lens, than its approval signed."""
    signed = {one.id: one for one in made.approvals + made.exchanges + made.taken_back}
    mine = signed.get(order.body["approval"])
    elsewhere = [one for one in exam.standing.live if one.kind in ORDERED_FROM]
    if mine is None and all(one.id != order.body["approval"] for one in elsewhere):
        return []  # Its approval is not here; nothing can be compared.
    if mine is not None and signed_lens(mine, order) == order.body["lens"]:
        return []
    what = "eye" if mine is None else "lens"
    return [fixed_stop(
        "D24.order_" + what, "wrong_eye", "Order for another " + what,
        "The order of this eye names an approval of another " + what + ".",
        "Cancel the order at the supplier at once.", [order.id],
    )]  # fmt: skip


def signed_lens(approval: Entry, order: Entry) -> dict[str, object] | None:
    """Return the lens that an approval signed for an order: the chosen one, or its back-up."""
    if order.body.get("backup_of") is None:
        chosen: dict[str, object] = approval.body["shown"]["lens"]
        return chosen
    backup: dict[str, object] | None = approval.body.get("backup")
    return backup


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
