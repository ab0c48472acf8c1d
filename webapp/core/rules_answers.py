"""D02 stability, D17 pregnancy, D18 eye disease, D27 contact lenses: what was asked and answered.

A question that was not asked is never read as "no": it blocks approval (H21).
"""

from webapp.core.dates import days_from
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution, fixed_stop, stop
from webapp.core.optics import blur, subtracted
from webapp.core.units import to_step
from webapp.core.used import corneal_vector_of, is_placed, mean_vector
from webapp.core.wording import count_of, size_in_dioptres

QUESTIONS = (
    ("stable_12_months", "whether the refraction was stable for 12 months"),
    ("contact_lenses", "whether contact lenses are worn"),
    ("pregnant_or_nursing", "about pregnancy and nursing"),
    ("eye_disease", "about eye disease"),
)


def findings(exam: Exam) -> list[Finding]:
    """Return findings about the answers, and about stability shown by earlier refractions."""
    found = stability_shown(exam)
    if exam.answers is not None:
        found += not_asked(exam.answers) + answered(exam.answers)
        found += contact_lenses(exam, exam.answers)
    return found


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


def stability_shown(exam: Exam) -> list[Finding]:
    """D02: change of blur strength against a refraction at least a year older."""
    now = [one for one in exam.this.readings["reading.refraction"] if is_placed(one)]
    if not now:
        return []
    before = earlier_refractions(exam, now)
    if not before:
        return [caution(
            "D02.no_earlier", "stability", "Stability not shown",
            "There is no refraction from a year ago; only the answer speaks for stability.",
            "Read old glasses or an old prescription if there is one.", [one.id for one in now],
        )]  # fmt: skip
    today = mean_vector([corneal_vector_of(one) for one in now])
    changes = [blur(subtracted(today, corneal_vector_of(one))) for one in before]
    change_cD = to_step(max(changes) * 100.0, 1.0)
    return changed(exam, change_cD, [one.id for one in before + now])


def earlier_refractions(exam: Exam, now: list[Entry]) -> list[Entry]:
    """Return the placed refractions taken long enough before the present ones."""
    first = sorted(one.body["taken"] for one in now)[0]
    return [
        one
        for one in exam.this.earlier
        if one.kind == "reading.refraction"
        and is_placed(one)
        and days_from(one.body["taken"], first) >= exam.limits["stability_days"]
    ]


def changed(exam: Exam, change_cD: int, records: list[str]) -> list[Finding]:
    """Return the finding for a change of refraction [cD] over a year or more."""
    text = "The refraction moved by " + size_in_dioptres(change_cD) + " (blur strength) in a year"
    if change_cD > exam.limits["stability_stop_cD"]:
        return [stop(
            "D02.changed", "stability", "Refraction not stable",
            text + " or more: growing short sight or an unstable cornea.",
            "Repeat the refraction; have the cornea mapped.", records,
        )]  # fmt: skip
    if change_cD > exam.limits["stability_caution_cD"]:
        return [caution(
            "D02.moved", "stability", "Refraction moved",
            text + ". Measurement alone can do this.",
            "Repeat the refraction before deciding.", records,
        )]  # fmt: skip
    return []
