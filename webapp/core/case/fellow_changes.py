"""What changed in the first eye's outcome since the second eye was approved."""

from webapp.core.case.implants import KIND, in_eye
from webapp.core.describe_values import value_text
from webapp.core.entry import Entry
from webapp.core.exam import OTHER, Exam
from webapp.core.measured import word_of
from webapp.core.plan import fellow_outcome
from webapp.core.rules import outcome as outcome_rule
from webapp.core.wording import EYE_WORDS


def fellow_changes(exam: Exam, shown: dict[str, object]) -> list[dict[str, str]]:
    """Return each difference between the outcome that was signed and the one that stands now.

    The code says whether the outcome as it stands is a surprise that stops (rule D31); an order
    is called in question by nothing less. Once this eye has its own lens nothing is compared.
    """
    if in_eye(exam.standing, exam.this.eye):
        return []
    # Absent from approvals that were made before outcomes were recorded.
    fellow = shown.get("fellow")
    signed = fellow["records"] if isinstance(fellow, dict) else []
    now = fellow_outcome.records(fellow_outcome.outcome(exam))
    if signed == now:
        return []
    surprises = [one for one in outcome_rule.findings(exam) if one.level == "stop"]
    code = "fellow.surprise" if surprises else "fellow"
    here = {one.id: one for one in exam.standing.live}
    gone = {one.id: one for one, _ in exam.standing.withdrawn}
    causes = {one.id: cause.id for one, cause in exam.standing.withdrawn}
    told = []
    for name in now:
        if name not in signed and name in here:
            text = text_of(exam, here[name], "came or changed")
            told.append({"code": code, "text": text, "record": name})
    for name in signed:
        if name not in now:
            text = text_of(exam, here.get(name) or gone.get(name), "no longer counts")
            told.append({"code": code, "text": text, "record": causes.get(name, name)})
    return told


def text_of(exam: Exam, entry: Entry | None, what: str) -> str:
    """Return the sentence for one record of the first eye."""
    eye = EYE_WORDS[OTHER[exam.this.eye]]
    after = " after this approval"
    if entry is None:
        return eye + ": an outcome that this approval rests on is not here."
    if entry.kind == KIND:
        return eye + ": the record of its surgery " + what + after + "."
    value = value_text(entry)
    return eye + ": " + word_of(entry.kind) + " " + value + " " + what + after + "."
