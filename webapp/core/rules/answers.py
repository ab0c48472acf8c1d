"""D02, D17, D18, D27: what was asked about stability, pregnancy, eye disease, contact lenses.

A question that was not asked is never read as "no": it blocks approval (H21).
"""

from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution, fixed_stop, stop
from webapp.core.wording import count_of

QUESTIONS = (
    ("stable_12_months", "whether the refraction was stable for 12 months"),
    ("contact_lenses", "whether contact lenses are worn"),
    ("pregnant_or_nursing", "about pregnancy and nursing"),
    ("eye_disease", "about eye disease"),
)


def findings(exam: Exam) -> list[Finding]:
    """Return findings about the answers."""
    if exam.answers is None:
        return []
    asked = not_asked(exam.answers) + answered(exam.answers)
    return asked + contact_lenses(exam, exam.answers)


def not_asked(answers: Entry) -> list[Finding]:
    """H21: each question that nobody asked."""
    return [
        fixed_stop(
            "H21." + name, "answers", "Not asked",
            "Nobody asked " + words + ". A missing answer is not a good answer.",
            "Ask, and record the answer.", [answers.id],
        )
        for name, words in QUESTIONS
        if answers.body[name] not in ("yes", "no")
    ]  # fmt: skip


def answered(answers: Entry) -> list[Finding]:
    """D02, D17, D18: answers that speak against a lens now."""
    found = []
    if answers.body["stable_12_months"] == "no":
        found.append(stop(
            "D02.not_stable", "stability", "Refraction not stable",
            "The refraction changed within the last 12 months; a lens would soon be wrong, and a"
            " changing cornea may be the reason.",
            "Repeat the refraction later, and have the cornea mapped.", [answers.id],
        ))  # fmt: skip
    if answers.body["pregnant_or_nursing"] == "yes":
        found.append(stop(
            "D17.pregnant", "answers", "Pregnant or nursing",
            "Refraction moves in pregnancy and nursing.",
            "Measure again three months after nursing has ended.", [answers.id],
        ))  # fmt: skip
    if answers.body["eye_disease"] == "yes":
        said = answers.body["eye_disease_note"]
        found.append(stop(
            "D18.disease", "answers", "Eye disease",
            "An eye disease was reported" + (": " + said if said else "")
            + ". Opacity, inflammation, a weak lens support or an untreated retina speak against"
            " a lens.",
            "Have the eye examined; say what was found when you ask the surgeon.", [answers.id],
        ))  # fmt: skip
    return found


def contact_lenses(exam: Exam, answers: Entry) -> list[Finding]:
    """D27: a cornea warped by contact lenses gives wrong keratometry and refraction."""
    if answers.body["contact_lenses"] != "yes":
        return []
    soft = answers.body["contact_lens_type"] == "soft"
    needed = exam.limits["soft_lens_days" if soft else "rigid_lens_days"]
    out = answers.body["contact_lens_days_out"]
    if out is not None and out >= needed:
        return []
    since = "an unknown time" if out is None else count_of(out, "day", "days")
    return [caution(
        "D27.contact_lenses", "answers", "Contact lenses out too short",
        ("Soft" if soft else "Rigid or unknown") + " contact lenses out for " + since + "; "
        + str(needed) + " days let the cornea settle. Until then keratometry and refraction drift.",
        "Measure again when the lenses have been out that long.", [answers.id],
    )]  # fmt: skip
