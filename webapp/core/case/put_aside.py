"""Boxes that were put aside in theatre, each until somebody says what became of it.

A box that is not the released one takes no release away: the right one may lie beside it. So it has
a record of its own. A released lens that was stopped, or not implanted, is put aside by that check
in theatre itself, whether or not anybody thought of the box.
"""

from webapp.core.box.code import read_any
from webapp.core.box.theatre import key_of
from webapp.core.case.boxes import IN_THEATRE
from webapp.core.case.boxes import KIND as CHECKED
from webapp.core.case.theatre import stopped_words
from webapp.core.entry import Entry, in_display_order
from webapp.core.errors import BadInput
from webapp.core.exam import Exam
from webapp.core.live import of_kind

KIND, ANSWERED = "box.put_aside", "box.answered"
WHY = {
    "another": "Not the box that was released for this eye.",
    "readings": "What was read off it differed.",
}
BECOMES = {
    "shelf": "Back in its place.",
    "kept": "Kept apart, not to be used.",
    "returned": "Returned to the supplier.",
    "destroyed": "Destroyed.",
}


def aside_json(exam: Exam) -> list[dict[str, object]]:
    """Return each box that was put aside for an eye, with what became of it, the first one first.

    Of whatever order, also one that was cancelled since: the box lies somewhere all the same.
    """
    stopped = [one for one in _live(exam, IN_THEATRE) if one.body["outcome"] != "agrees"]
    return [_json(exam, one) for one in in_display_order(_live(exam, KIND) + stopped)]


def _json(exam: Exam, aside: Entry) -> dict[str, object]:
    serials = serials_of(exam, aside)
    return {
        "id": aside.id,
        "order": aside.body["order"],
        "author": aside.author,
        "wall": aside.wall,
        "serials": serials,
        "text": WHY[aside.body["why"]] if aside.kind == KIND else stopped_words(aside),
        "answer": answer_json(exam, aside, [key_of(one) for one in serials]),
    }


def serials_of(exam: Exam, aside: Entry) -> list[str]:
    """Return the serial numbers that were read off a box, each once as it was read first.

    Where nothing was read, it is the box that was released.
    """
    body = aside.body
    read = [coded_serial(body["code"], aside.wall[:10])]
    read += [one["serial"] for one in (body["trace"], body["second_trace"]) if one is not None]
    if not any(read) and body.get("label") is not None:
        released = [one for one in _live(exam, CHECKED) if one.id == body["label"]]
        read = [one.body["first"]["serial"] for one in released]
    found: list[str] = []
    for one in read:
        if one is not None and key_of(one) not in [key_of(each) for each in found]:
            found.append(one)
    return found


def coded_serial(code: str | None, day: str) -> str | None:
    """Return the serial number that a code says; None where it says none, or is none."""
    if code is None:
        return None
    try:
        serial: str | None = read_any(code, day).serial
    except BadInput:
        return None
    return serial


def answer_json(exam: Exam, aside: Entry, keys: list[str]) -> dict[str, object] | None:
    """Return what became of a box; None while nobody said it.

    A check that released this very box anew and had seen the stop answers it, and so does the
    surgery in which it was implanted; an order that was cancelled does not say where the box is.
    """
    for one in _live(exam, ANSWERED):
        if one.body["aside"] == aside.id:
            note = "" if one.body["note"] is None else " " + str(one.body["note"])
            return said(one, BECOMES[one.body["becomes"]] + note)
    for one in _live(exam, "surgery.implanted"):
        serial = one.body["serial"]
        if serial is not None and key_of(serial) in keys:
            return said(one, "Implanted in this eye.")
    for one in _live(exam, CHECKED):
        body = one.body
        released = body["outcome"] == "agrees" and aside.id in body["seen"]
        if released and key_of(body["first"]["serial"]) in keys:
            return said(one, "Checked again and released.")
    return None


def said(entry: Entry, text: str) -> dict[str, object]:
    """Return who answered, when, and a sentence."""
    return {"id": entry.id, "author": entry.author, "wall": entry.wall, "text": text}


def _live(exam: Exam, kind: str) -> list[Entry]:
    return in_display_order(of_kind(exam.standing.live, kind, exam.this.eye))
