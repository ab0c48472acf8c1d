"""Builds what follows in an operated eye: decided about its lens, ordered, lens out, lens in."""

from typing import Any

from tests.core import decided, exchanges, records, surgeries
from tests.core.decided import SURGEON, ask
from tests.core.exchanges import implanted, question
from tests.core.records import Entry

LATER = "2026-12-20T08:00:00.000Z"


def eye_of(entries: list[Entry], today: str = exchanges.TODAY, **more: Any) -> dict[str, Any]:  # noqa: ANN401
    """Return the right eye of the fold under the worked reference."""
    asked = records.fold_request(entries, reference=exchanges.reference(**more), today=today)
    answer = ask(asked)
    assert "error" not in answer, answer
    right: dict[str, Any] = answer["eyes"]["R"]
    return right


def asked(entries: list[Entry], **more: object) -> dict[str, Any]:
    """Return what the door says of the lens in the eye."""
    answer: dict[str, Any] = ask(question(entries, **more))
    return answer


def decision(entries: list[Entry], *given: Any, **changed: Any) -> Entry:  # noqa: ANN401
    """Return a decision about the lens in this eye, as it stands in these records."""
    return exchanges.decided(asked(entries), *given, **changed)


def exchanged(old: Entry, order: Entry | None = None, **given: Any) -> Entry:  # noqa: ANN401
    """Return the surgery that took one lens out and put another in its place."""
    lens = {**exchanges.LENS, "length_um": 12100}
    if order is not None:
        given = {"order": order["id"], "approval": order["payload"]["body"]["approval"], **given}  # type: ignore[index]
    body = {
        "operated": "2026-12-10", "serial": "TI-70099", "explants": old["id"],
        "explanted_serial": "TI-70012", "explanted_reason": None, "seq": 60, **given,
    }  # fmt: skip
    return implanted(lens=lens, **body)


def removed(old: Entry, operated_on: str = "2026-12-10", **given: Any) -> Entry:  # noqa: ANN401
    """Return the removal of a lens without a new one."""
    body = {
        "implant": old["id"], "operated": operated_on, "serial": "TI-70012", "serial_reason": None,
        "operator": "Dr S. Verrill", "why": "cells", "note": None, **given,
    }  # fmt: skip
    return records.record("surgery.explanted", body, "R", **{**SURGEON, "seq": 61})


def first_order() -> list[Entry]:
    """Return an eye, its plan, its order, and last the surgery that names the order."""
    whole = records.whole_eye()
    sent = decided.sent(whole)
    approval = decided.approval(whole, sent)
    order = decided.ordered(approval)
    lens = order["payload"]["body"]["lens"]  # type: ignore[index]
    surgery = surgeries.implanted(
        "R", lens, operated="2026-11-25", order=order["id"], approval=approval["id"], seq=9
    )
    return [*whole, sent, approval, order, surgery]
