"""D01 age, consent, and records of one fact that contradict each other."""

from webapp.core.age import age_range, age_words
from webapp.core.describe import line
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution, fixed_stop, stop
from webapp.core.live import SHARED_KINDS, of_kind


def findings(exam: Exam) -> list[Finding]:
    """Return findings about the person and about double records."""
    found = doubled(exam)
    if exam.person is not None:
        found += age(exam, exam.person)
    for registration in of_kind(exam.standing.live, "person.registered"):
        found += consent(registration)
    return found


def age(exam: Exam, person: Entry) -> list[Finding]:
    """D01: too young for the refraction to rest, or old enough for lens opacity."""
    youngest_y, oldest_y = age_range(person, exam.today)
    words = "Age " + age_words(person, exam.today)
    if youngest_y < exam.limits["age_stop_below_y"]:
        return [stop(
            "D01.too_young", "age", "Too young",
            words + ": below " + str(exam.limits["age_stop_below_y"])
            + ". The eye is still growing, so today's lens would soon be wrong.",
            "Check the date of birth. If it is right, wait.", [person.id],
        )]  # fmt: skip
    if youngest_y < exam.limits["age_caution_below_y"]:
        return [caution(
            "D01.young", "age", "Young",
            words + ": short sight may still grow below "
            + str(exam.limits["age_caution_below_y"]) + ".",
            "Ask for an earlier refraction before deciding.", [person.id],
        )]  # fmt: skip
    if oldest_y > exam.limits["age_caution_above_y"]:
        return [caution(
            "D01.older", "age", "Older than usual",
            words + ": above " + str(exam.limits["age_caution_above_y"])
            + " vaults are lower, lens opacity is likelier and reading glasses are near.",
            "Look at the natural lens and talk about near work.", [person.id],
        )]  # fmt: skip
    return []


def consent(person: Entry) -> list[Finding]:
    """Without consent to send, nothing about this person may leave the camp for a plan."""
    if person.body["consent_send"] == "yes":
        return []
    return [fixed_stop(
        "consent.send", "consent", "No consent to send",
        "This person has not agreed that the readings are sent to the surgeon.",
        "Ask again, and correct the registration if the answer changes.", [person.id],
    )]  # fmt: skip


def doubled(exam: Exam) -> list[Finding]:
    """One record corrected twice, or one person described twice: both stand until settled."""
    found = []
    for original, heads in exam.standing.doubled:
        if original.eye not in (None, exam.this.eye):
            continue
        words = " / ".join(line(head) for head in heads)
        found.append(fixed_stop(
            "records.two_corrections", "records", "Corrected twice",
            "One record has two corrections, and both stand: " + words + ".",
            "Withdraw the one that is wrong.", [head.id for head in heads],
        ))  # fmt: skip
    for kind in SHARED_KINDS:
        for heads in by_registration(of_kind(exam.standing.live, kind)):
            if len(heads) > 1:
                found.append(side_by_side(heads))
    return found


def side_by_side(heads: list[Entry]) -> Finding:
    """Return the stop for one fact that was recorded twice under one registration."""
    return fixed_stop(
        "records.two_answers", "records", "Recorded twice",
        "Two records of the same facts stand side by side: " + line(heads[0]).lower() + ".",
        "Correct one by the other, so that one stays.", [head.id for head in heads],
    )  # fmt: skip


def by_registration(heads: list[Entry]) -> list[list[Entry]]:
    """Return records of one kind by the registration that each is filed under."""
    found: dict[str, list[Entry]] = {}
    for head in heads:
        found.setdefault(head.person, []).append(head)
    return [found[person] for person in sorted(found)]
