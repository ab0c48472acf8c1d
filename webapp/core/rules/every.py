"""All input and safety rules in one list; a plan and a case file both ask here."""

from webapp.core.exam import Exam
from webapp.core.finding import Finding, fixed_stop, ordered
from webapp.core.limits import unusable
from webapp.core.measured import QUANTITIES, word_of
from webapp.core.rules import (
    age_of_data,
    answers,
    chamber,
    cornea,
    ectasia,
    fellow,
    fellow_axis,
    general_health,
    health,
    joined,
    length,
    operated,
    other_refractions,
    outcome,
    person,
    refraction,
    repeats,
    same_values,
    shape,
    stability,
    wrong_eye,
)
from webapp.core.wording import capital


def findings(exam: Exam) -> list[Finding]:
    """Return every finding that the readings of one eye give, worst first.

    What is missing is not a finding: it is asked for by ``missing``.
    """
    found = limits_in_force(exam)
    for rule in (
        person, joined, answers, general_health, stability, refraction,
        other_refractions, fellow_axis, wrong_eye, same_values, cornea, ectasia, chamber,
        shape, length, health, repeats, fellow, outcome, operated,
        age_of_data,
    ):  # fmt: skip
        found += rule.findings(exam)
    return ordered(found)


def limits_in_force(exam: Exam) -> list[Finding]:
    """Limits are proposals until a surgeon's adoption is on record."""
    if exam.reference.limits_id is None:
        return [fixed_stop(
            "limits.not_adopted", "limits", "Limits not adopted",
            "The limits in use are defaults that no responsible surgeon has adopted here.",
            "Ask the administrator to have the limits adopted.", [],
        )]  # fmt: skip
    bad = unusable(exam.reference.limits)
    if not bad:
        return []
    return [fixed_stop(
        "limits.unknown", "limits", "Limits not understood",
        "The adopted limits hold what this version cannot use: " + ", ".join(bad) + ".",
        "Load the newest version, or have the limits adopted again.", [],
    )]  # fmt: skip


def missing(exam: Exam) -> list[dict[str, str]]:
    """Return what must still be recorded before this eye can be planned, each with its words."""
    found = []
    if exam.person is None:
        found.append({"kind": "person.registered", "text": "Registration"})
    if exam.answers is None:
        found.append({"kind": "history.answers", "text": "Questions"})
    this = exam.this
    for quantity in QUANTITIES:
        if quantity.need == "needed" and not has(exam, quantity.kind):
            found.append({"kind": quantity.kind, "text": capital(quantity.word)})
        if quantity.need == "either" and not (
            has(exam, quantity.kind) or has(exam, "reading.sulcus_to_sulcus")
        ):
            found.append({"kind": quantity.kind, "text": capital(quantity.word)})
    for kind, value in (
        ("reading.refraction", this.refraction),
        ("reading.keratometry", this.cornea),
        ("reading.chamber_depth", this.depth),
        ("reading.corneal_thickness", this.thickness_um),
        ("reading.white_to_white", this.white_to_white),
        ("reading.sulcus_to_sulcus", this.sulcus_to_sulcus),
        ("reading.lens_rise", this.lens_rise),
    ):
        if value is None and has(exam, kind):
            found.append({"kind": kind, "text": capital(word_of(kind)) + ": settle the readings"})
    return found


def has(exam: Exam, kind: str) -> bool:
    """Return whether this eye has a reading of a kind; the pupil counts in dim light alone."""
    entries = exam.this.readings[kind]
    if kind == "reading.pupil":
        return any(one.body["light"] == "mesopic" for one in entries)
    return len(entries) > 0
