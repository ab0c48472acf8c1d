"""The state that a surgery puts an eye in, and how it crosses the door with what followed it."""

from webapp.core.case.implants import Implant, beside_another, days_after, implants, in_eye
from webapp.core.case.state import State
from webapp.core.case.surgery_check import unchecked_json
from webapp.core.dates import day_words
from webapp.core.describe_values import value_text
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.follow_up.contacts import contacts_json
from webapp.core.follow_up.trends import trends_json
from webapp.core.follow_up.visits_said import schedule_json, visit_name
from webapp.core.lens_words import lens_of, lens_text
from webapp.core.measured import word_of
from webapp.core.wording import capital


def state_after(exam: Exam, now: State, about: State | None) -> State:
    """Return the state of an eye once its surgeries are looked at; ``now`` with no lens in it.

    Args:
        exam: the eye.
        now: its state by the decisions and orders of a natural eye.
        about: its state by what was decided and ordered about the lens in it, None for nothing.
    """
    if beside_another(implants(exam.standing, exam.this.eye)):
        return State("conflict", "Two surgeries stand for this eye and the same time. One must be"
                     " withdrawn, or say which lens it took out, or on which day.")  # fmt: skip
    found = in_eye(exam.standing, exam.this.eye)
    if not found:
        return now
    if about is not None:
        return about
    if now.name == "conflict":
        return now
    body = found[0].entry.body
    why = "Implanted " + day_words(body["operated"]) + ": " + lens_text(lens_of(body["lens"])) + "."
    if not found[0].followups:
        return State("implanted", why)
    days = days_after(found[0].entry, found[0].followups[-1])
    return State("followed", why + " Last seen on day " + str(max(days, 0)) + ".")


def surgeries_json(exam: Exam) -> list[dict[str, object]]:
    """Return every surgery of an eye with what was found after it."""
    return [surgery_json(exam, one) for one in implants(exam.standing, exam.this.eye)]


def surgery_json(exam: Exam, implant: Implant) -> dict[str, object]:
    """Return one surgery: who recorded it, what was implanted, and the follow-ups of this lens."""
    entry = implant.entry
    return {
        "id": entry.id,
        "names": implant.names,
        "author": entry.author,
        "wall": entry.wall,
        "received": entry.received,
        "body": entry.body,
        "text": lens_text(lens_of(entry.body["lens"])),
        "unchecked": unchecked_json(exam, entry),
        "in_eye": 1 if implant.explanted_on is None else 0,
        "explants": entry.body.get("explants"),
        "explanted_on": implant.explanted_on,
        "next": implant.next,
        "followups": [followup_json(exam, implant, one) for one in implant.followups],
        "schedule": schedule_json(exam, implant),
        "contacts": contacts_json(exam, implant),
        "trends": trends_json(exam, implant),
    }


def followup_json(exam: Exam, implant: Implant, entry: Entry) -> dict[str, object]:
    """Return one reading after surgery in words, with the days since and the visit it is of."""
    days = days_after(implant.entry, entry)
    return {
        "id": entry.id,
        "kind": entry.kind,
        "word": capital(word_of(entry.kind)),
        "text": value_text(entry),
        "days": days if days > 0 else 0,
        "visit": visit_name(exam, days),
        "body": entry.body,
        "author": entry.author,
        "wall": entry.wall,
    }
