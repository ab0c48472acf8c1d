"""What cannot wait after surgery: touch, a very high vault with a closed angle, high pressure.

Each reading is judged by itself and stays urgent, however good a later one is, until somebody at
the base has answered: a value that was seen and told to nobody is the hazard (H37). The steps are
placeholders for the hospital's own protocol and say so.
"""

from collections import namedtuple

from webapp.core.case.implants import Implant, days_after, implants
from webapp.core.describe_values import value_text
from webapp.core.entry import Entry, in_display_order
from webapp.core.exam import Exam
from webapp.core.live import of_kind
from webapp.core.trust import is_doubted

TOLD, ANSWERED = "urgent.told", "urgent.answered"
# reading: the record that is urgent; others: what it was judged with; steps: what to do, in order.
Urgent = namedtuple("Urgent", ("code", "reading", "others", "title", "why", "steps"))

CALL = (
    "Call the surgeon now, by voice. Do not wait for the network.",
    "The person stays until somebody has told you what to do. Write down who was told.",
)
TOUCH = "Look at the natural lens at the slit lamp, and measure the vault once more."
CLOSED = "Measure the pressure now, and look at the angle and the pupil once more."
PRESSURE = "Measure once more on the same instrument, then look at the vault and the angle."
FIRST = "The hospital\u2019s own protocol and the lens maker\u2019s instructions come first."


def urgents(exam: Exam, implant: Implant) -> list[Urgent]:
    """Return what is urgent among the readings of one lens, oldest first."""
    found = [urgent_of(exam.limits, implant, one) for one in implant.followups]
    return [one for one in found if one is not None]


def urgent_of(limits: dict[str, int], implant: Implant, reading: Entry) -> Urgent | None:
    """Return why one reading cannot wait, None where it can."""
    body = reading.body
    if reading.kind == "followup.pressure":
        if body["iop_dmmHg"] >= limits["urgent_pressure_dmmHg"]:
            return Urgent("pressure", reading, [], "Pressure dangerously high",
                          "It may cost sight within hours to days.",
                          (PRESSURE,) + CALL)  # fmt: skip
        return None
    if reading.kind != "followup.vault":
        return None
    if body["vault_um"] < limits["vault_low_um"]:
        return Urgent("touch", reading, [], "The lens may touch the natural lens",
                      "Touch clouds the natural lens.", (TOUCH,) + CALL)  # fmt: skip
    closed = closed_beside(limits, implant, reading)
    if body["vault_um"] > limits["vault_high_um"] and closed:
        return Urgent("closed", reading, closed, "Very high vault, and the angle is closed",
                      "The pressure may rise at any time.", (CLOSED,) + CALL)  # fmt: skip
    return None


def closed_beside(limits: dict[str, int], implant: Implant, vault: Entry) -> list[Entry]:
    """Return the closed angles of this lens that were seen about when a vault was measured."""
    return [
        one
        for one in of_kind(implant.followups, "followup.angle")
        if is_closed(limits, one) and is_near(limits, implant, one, vault)
    ]


def is_closed(limits: dict[str, int], angle: Entry) -> bool:
    """Return whether an angle is closed or nearly so, by its grade or its degrees."""
    grade, degrees = angle.body["grade"], angle.body["angle_deg"]
    by_grade = grade is not None and grade <= limits["urgent_angle_grade"]
    return by_grade or (degrees is not None and degrees <= limits["urgent_angle_deg"])


def is_near(limits: dict[str, int], implant: Implant, one: Entry, other: Entry) -> bool:
    """Return whether two readings of a lens were taken within the days that join them."""
    apart_d = days_after(implant.entry, one) - days_after(implant.entry, other)
    return abs(apart_d) <= limits["urgent_together_d"]


def urgent_json(exam: Exam) -> list[dict[str, object]]:
    """Return everything urgent of an eye, with who was told and what was answered."""
    return [
        said(exam, implant, one)
        for implant in implants(exam.standing, exam.this.eye)
        for one in urgents(exam, implant)
    ]


def said(exam: Exam, implant: Implant, urgent: Urgent) -> dict[str, object]:
    """Return one urgent reading as it crosses the door.

    ``open`` until somebody answered it at the base; ``silent`` while it has neither reached the
    base nor been told to anybody, so that nobody but whoever read it knows.
    """
    told = answers(exam, implant, TOLD, urgent.reading)
    answered = answers(exam, implant, ANSWERED, urgent.reading)
    at_base = urgent.reading.received is not None
    values = [value_text(one) for one in [urgent.reading] + urgent.others]
    return {
        "code": urgent.code,
        "implant": implant.entry.id,
        "reading": urgent.reading.id,
        "author": urgent.reading.author,
        "taken": urgent.reading.body["taken"],
        "title": urgent.title,
        "records": [one.id for one in [urgent.reading] + urgent.others],
        "values": values,
        "why": urgent.why,
        "steps": [one for one in urgent.steps],
        "first": FIRST,
        "at_base": 1 if at_base else 0,
        "told": [answer_json(one) for one in told],
        "answered": [answer_json(one) for one in answered],
        "open": 0 if answered else 1,
        "silent": 0 if at_base or told or answered else 1,
    }


def answers(exam: Exam, implant: Implant, kind: str, reading: Entry) -> list[Entry]:
    """Return the live records of a kind that name a reading of this lens.

    What a key signed that may have been in other hands then quiets no alarm (H37).
    """
    return in_display_order(
        [
            one
            for one in of_kind(exam.standing.live, kind, exam.this.eye)
            if one.body["implant"] in implant.names
            and reading.id in one.body["readings"]
            and not is_doubted(exam.reference.revoked_keys, one)
        ]
    )


def answer_json(entry: Entry) -> dict[str, object]:
    """Return who wrote that somebody was told, or what was answered, and when."""
    answer = {name: value for name, value in entry.body.items()}
    answer["id"] = entry.id
    answer["author"] = entry.author
    answer["wall"] = entry.wall
    # Records from before a day could be agreed on do not have it.
    answer["comes_on"] = entry.body.get("comes_on")
    return answer
