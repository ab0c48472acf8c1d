"""What changed between the readings that a plan was signed on and the readings that stand now."""

from webapp.core.describe_values import value_text
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.live import JOINED, SHARED_KINDS, evidence
from webapp.core.measured import word_of

FACTS = {
    "person.registered": "The registration",
    "history.answers": "The answers",
    "history.health": "The answers about general health",
}
ORDINALS = ("first", "second", "third", "fourth", "fifth")


def changes(exam: Exam, signed: list[str], since: Entry, what: str) -> list[dict[str, str]]:
    """Return each difference between the signed and the present evidence, in sentences.

    Each names the record that brought it: a new reading, a withdrawal, or the one that is not here.

    Args:
        exam: the eye as it stands now.
        signed: record ids that the decision stood on.
        since: the decision itself.
        what: how the decision is called, such as "this approval".
    """
    now = evidence(exam.standing.live, exam.this.eye)
    by_id = {one.id: one for one in exam.standing.live}
    gone = {one.id: one for one, _ in exam.standing.withdrawn}
    old = [gone.get(name) or by_id.get(name) for name in signed]
    added = [by_id[name] for name in now if name not in signed]
    corrected = {one.replaces for one in added}
    told = joinings(added, since, what)
    told += [
        {"code": "evidence.added", "text": addition(one, old, since, what), "record": one.id}
        for one in added
        if one.kind != JOINED
    ]
    return told + removals(exam, signed, now, corrected, what)


def joinings(added: list[Entry], since: Entry, what: str) -> list[dict[str, str]]:
    """Return that the person's registrations were joined since, once for both halves of it."""
    joined = [one for one in added if one.kind == JOINED]
    mine = [one for one in joined if one.person == since.person]
    return [
        {
            "code": "person.joined",
            "text": "Two registrations of this person were joined after " + what + ".",
            "record": one.id,
        }
        for one in mine or joined
    ]


def removals(
    exam: Exam, signed: list[str], now: list[str], corrected: set[str | None], what: str
) -> list[dict[str, str]]:
    """Return each record that the decision stood on and that no longer counts or is not here.

    After a separation the other half's records are gone with it: the separation says so for all.
    """
    gone = {one.id: one for one, _ in exam.standing.withdrawn}
    causes = {one.id: cause.id for one, cause in exam.standing.withdrawn}
    separated = [name for name in signed if name in gone and gone[name].kind == JOINED]
    told = []
    for name in separated + [name for name in signed if name not in separated]:
        if name not in now and name not in corrected and not (separated and name not in gone):
            text = removal(gone.get(name), what)
            record = causes.get(name, name)
            told.append({"code": "evidence.removed", "text": text, "record": record})
    return told


def addition(new: Entry, old: list[Entry | None], since: Entry, what: str) -> str:
    """Return the sentence for a record that the decision did not know."""
    if new.kind in SHARED_KINDS:
        return FACTS[new.kind] + " changed after " + what + "."
    word, value = word_of(new.kind), value_text(new)
    for one in old:
        if one is not None and one.id == new.replaces:
            before = value_text(one)
            return ("The " + word + " was corrected after " + what + ": " + value + " (before: "
                    + before + ").")  # fmt: skip
    same = [one for one in old if one is not None and one.kind == new.kind]
    came = " was taken after " if new.wall > since.wall else " arrived after "
    if not same:
        return "A reading of " + word + came + what + ": " + value + "."
    before = ", ".join(value_text(one) for one in same)
    count = ORDINALS[len(same)] if len(same) < len(ORDINALS) else "further"
    return "A " + count + " " + word + came + what + ": " + value + " (before: " + before + ")."


def removal(old: Entry | None, what: str) -> str:
    """Return the sentence for a record that no longer counts."""
    if old is None:
        return "A record that " + what + " stands on is not here; fetch the newest records."
    if old.kind == JOINED:
        return "Two registrations that " + what + " took as one were separated again."
    value = value_text(old)
    return (
        "The "
        + word_of(old.kind)
        + (" of " + value if value else "")
        + (" was withdrawn after " + what + ".")
    )
