"""A person whose registrations were joined: a half that is not here, and facts that differ."""

from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.finding import Finding, fixed_stop, stop
from webapp.core.joining import elsewhere, joinings
from webapp.core.live import SHARED_KINDS, of_kind

# What is compared, and its words; names and villages are spelled in many ways.
FACTS = (
    ("birth_date", "the birth date"),
    ("birth_year", "the birth year"),
    ("sex", "the sex"),
    ("stable_12_months", "whether the refraction was stable for 12 months"),
    ("contact_lenses", "whether contact lenses are worn"),
    ("contact_lens_type", "the kind of contact lens"),
    ("contact_lens_days_out", "days without contact lenses"),
    ("pregnant_or_nursing", "pregnancy and nursing"),
    ("eye_disease", "eye disease"),
    ("eye_disease_note", "which eye disease"),
    ("collagen_disease", "connective tissue disease"),
    ("diabetes", "diabetes"),
    ("anticoagulant", "blood thinners"),
    ("allergy", "allergy"),
    ("ocular_surface", "the surface of the eye"),
    ("note", "the note on general health"),
)


def findings(exam: Exam) -> list[Finding]:
    """Return the findings that a joined person brings; none for anybody else."""
    if not joinings(exam.standing.live):
        return []
    return not_here(exam.standing.live) + differing(exam.standing.live)


def not_here(live: list[Entry]) -> list[Finding]:
    """Half of a person is no person: nothing is planned without the other registration."""
    away = elsewhere(live)
    if not away:
        return []
    places = ", ".join(sorted({str(one.body["place"]) for one in away}))
    return [fixed_stop(
        "joined.elsewhere", "joined", "Registered at another camp too",
        "This person is also registered at " + places + ". The records there are not here, and a"
        " plan needs both.",
        "A surgeon who works at both camps decides, on a phone that holds both. Readings may be"
        " kept here meanwhile.", [one.id for one in away],
    )]  # fmt: skip


def differing(live: list[Entry]) -> list[Finding]:
    """What one registration says otherwise than the other may be wrong in either."""
    words, records = [], []
    for kind in SHARED_KINDS:
        told = of_kind(live, kind)
        for name, word in FACTS:
            if len({str(one.body.get(name)) for one in told if name in one.body}) > 1:
                words.append(word)
                records += [one.id for one in told if one.id not in records]
    if not words:
        return []
    return [stop(
        "joined.differ", "joined", "Two registrations differ",
        "The registrations that were joined say different things: " + ", ".join(words) + ".",
        "Ask the person again. The surgeon says in writing what holds.", records,
    )]  # fmt: skip
