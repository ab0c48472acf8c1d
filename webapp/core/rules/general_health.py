"""D34: general health that bears on the cornea, the healing or the operation (common practice)."""

from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution, note

CAUTIONS = (
    ("collagen_disease", "a rheumatic or connective tissue disease"),
    ("diabetes", "diabetes"),
    ("ocular_surface", "dry or irritated eyes"),
)
NOTES = (
    ("anticoagulant", "blood thinners"),
    ("allergy", "an allergy"),
)


def findings(exam: Exam) -> list[Finding]:
    """Return findings about general health, where anybody asked."""
    health = exam.health
    if health is None:
        return []
    return serious(health) + others(health) + not_asked(health)


def said(health: Entry, questions: tuple[tuple[str, str], ...], answer: str) -> list[str]:
    """Return the words of the questions that were answered so."""
    return [words for name, words in questions if health.body[name] == answer]


def added(health: Entry) -> str:
    """Return what was written beside the answers."""
    text = health.body["note"]
    return " " + text.rstrip(".") + "." if text else ""


def serious(health: Entry) -> list[Finding]:
    """Return one caution for all that bears on readings, cornea or healing."""
    present = said(health, CAUTIONS, "yes")
    if not present:
        return []
    return [caution(
        "D34.health", "health", "General health",
        "Reported: " + ", ".join(present) + "." + added(health)
        + " It can disturb the readings, the cornea or the healing.",
        "The surgeon weighs it; treat dry eyes and measure again.", [health.id],
    )]  # fmt: skip


def others(health: Entry) -> list[Finding]:
    """Return one note for what the operating team has to know."""
    present = said(health, NOTES, "yes")
    if not present:
        return []
    return [note(
        "D34.team", "health", "For the operating team",
        "Reported: " + ", ".join(present) + "." + added(health),
        "Pass it on.", [health.id],
    )]  # fmt: skip


def not_asked(health: Entry) -> list[Finding]:
    """Return one note for the questions that nobody asked: that is not a no."""
    open_words = said(health, CAUTIONS + NOTES, "not_asked")
    if not open_words:
        return []
    return [note(
        "D34.not_asked", "health", "General health not fully asked",
        "Nobody asked about: " + ", ".join(open_words) + ".", "Ask.", [health.id],
    )]  # fmt: skip
