"""Builds the decisions on an invented eye: sent, asked, approved, declined, ordered."""

import json
from typing import Any

from tests.answered import answers
from tests.core import records
from webapp.core import door

SURGEON = {
    "author": "u-verrill",
    "role": "surgeon",
    "key": "k2",
    "wall": "2026-11-25T06:00:00.000Z",
}
OTHER_SURGEON = {**SURGEON, "author": "u-marsh", "key": "k3", "wall": "2026-11-25T06:30:00.000Z"}
THIRD_SURGEON = {**SURGEON, "author": "u-hale", "key": "k4", "wall": "2026-11-26T07:00:00.000Z"}
DESK = {"author": "u-fenn", "role": "desk", "key": "desk", "wall": "2026-11-25T08:00:00.000Z"}

Entry = records.Entry


def ask(request: object) -> Any:  # noqa: ANN401
    """Return the parsed answer of the door in this Python."""
    return json.loads(door.call(json.dumps(request)))


def ids(entries: list[Entry]) -> list[str]:
    """Return the ids of records, sorted."""
    return sorted(str(one["id"]) for one in entries)


def shown_for(entries: list[Entry], **more: object) -> dict[str, Any]:
    """Return what a plan of the right eye shows for signing."""
    shown: dict[str, Any] = ask(records.plan_request(entries, **more))["shown"]
    return shown


def sent(entries: list[Entry], **given: object) -> Entry:
    """Return a request for a plan, sent by the optometrist."""
    body = {"shown": shown_for(entries), "digest": records.DIGEST}
    return records.record("plan.request", body, "R", **given)


def approval(
    entries: list[Entry], sent_: Entry, surgeon: dict[str, Any] = SURGEON, **body: object
) -> Entry:
    """Return an approval of what the plan shows, every finding answered, parts changed by name."""
    shown = shown_for(entries)
    signed = {
        "request": sent_["id"],
        "shown": shown,
        "digest": records.DIGEST,
        **answers(shown, surgeon["wall"]),
        "read_to_end": 1,
    }
    return records.record("plan.approval", {**signed, **body}, "R", **surgeon)


def question(request: Entry, surgeon: dict[str, Any] = SURGEON, **given: object) -> Entry:
    """Return a question about a request."""
    body = {"request": request["id"], "text": "Is the axis from the trial frame?"}
    return records.record("plan.question", body, "R", **{**surgeon, **given})


def answered(question_: Entry) -> Entry:
    """Return the optometrist's answer to a question."""
    body = {"question": question_["id"], "text": "Yes."}
    return records.record("plan.answer", body, "R", seq=90)


def decline(request: Entry, surgeon: dict[str, Any] = SURGEON) -> Entry:
    """Return a decline of a request."""
    body = {"request": request["id"], "text": "Chamber too shallow for me."}
    return records.record("plan.decline", body, "R", **surgeon)


def taken_back(target: Entry, who: dict[str, Any] = SURGEON) -> Entry:
    """Return a withdrawal of one's own decision."""
    return records.record("plan.withdrawal", {"target": target["id"]}, "R", **{**who, "seq": 80})


def ordered(approval_: Entry, number: str = "SP-1") -> Entry:
    """Return an order made from an approval."""
    signed: Any = approval_["payload"]
    body = {
        "approval": approval_["id"],
        "digest": records.DIGEST,
        "lens": signed["body"]["shown"]["lens"],
        "number": number,
    }
    return records.record("order.placed", body, "R", **DESK)


def cancelled(order: Entry) -> Entry:
    """Return the cancellation of an order."""
    return records.record(
        "order.cancelled", {"order": order["id"]}, "R", reason="Person moved away", **DESK
    )


def confirmed(order: Entry, who: dict[str, Any] = DESK, **changed: object) -> Entry:
    """Return the supplier's confirmation of an order: of just that, parts changed by name."""
    signed: Any = order["payload"]
    lens = {**signed["body"]["lens"], **changed.pop("lens", {})}  # type: ignore[dict-item]
    body = {
        "order": order["id"],
        "reference": "R-77",
        "for_eye": signed["eye"],
        "lens": lens,
        "confirmed_on": "2026-11-25",
        "expected_on": "2026-12-05",
        "corrects": [],
        "correction": None,
        **changed,
    }
    return records.record("order.confirmed", body, "R", **who)


def shipped(order: Entry, **changed: object) -> Entry:
    """Return that the lens of an order was shipped."""
    body = {"order": order["id"], "shipped_on": "2026-11-27", "expected_on": None, **changed}
    return records.record("order.shipped", body, "R", **DESK)


def received(order: Entry) -> Entry:
    """Return that the lens of an order arrived."""
    body = {"order": order["id"], "received_on": "2026-12-04"}
    return records.record("order.received", body, "R", **DESK)


def box_checked(
    order: Entry,
    label: dict[str, Any],
    seen: tuple[Entry, ...] = (),
    outcome: str = "agrees",
    gtin: str | None = None,
) -> Entry:
    """Return the desk's check of a box that two read alike and that has seen earlier ones."""
    body = {
        "order": order["id"], "code": None, "gtin": gtin, "first": label, "second": label,
        "second_person": "u-verrill", "device_day": None, "outcome": outcome, "seen": ids([*seen]),
    }  # fmt: skip
    return records.record("label.checked", body, "R", **DESK)


def void(target: Entry, **given: object) -> Entry:
    """Return the withdrawal of one's own reading."""
    given = {"reason": "read at the wrong edge", "seq": 70, **given}
    return records.record("record.void", {"target": target["id"]}, "R", **given)


def eye_of(entries: list[Entry], **more: object) -> dict[str, Any]:
    """Return the right eye of the case file."""
    answer = ask(records.fold_request(entries, **more))
    assert "error" not in answer, answer
    right: dict[str, Any] = answer["eyes"]["R"]
    return right
