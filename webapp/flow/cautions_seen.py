"""Which cautions are acknowledged nearly always: whoever reads one every day may stop reading it.

A caution is looked at over the cases a surgeon answered while it stood: approved, declined or asked
about. One that was acknowledged in more than nine of ten, over fifty cases or more, is for review:
its limit may be too strict, or its words say nothing that changes a decision. The two numbers are
common practice.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from webapp.flow import kept_folds, pseudonymous, recheck
from webapp.flow.actor import Actor
from webapp.flow.desk_record import payload_of
from webapp.store import installation, journal

ENOUGH_CASES = 50
MOST_PERCENT = 90

APPROVED = "plan.approval"
ANSWERS = (APPROVED, "plan.decline", "plan.question")

Shown = dict[str, Any]


class Answer(NamedTuple):
    """What a surgeon answered about one eye, with the plan that it was about."""

    case: tuple[str, str]
    """Person and eye."""
    received_at: str
    shown: Shown
    acknowledged: frozenset[str]
    """Codes of the cautions that were acknowledged; none unless it is an approval."""


class CautionLine(NamedTuple):
    """One caution over all the cases in which it stood."""

    code: str
    title: str
    """In the words of the calculation in use; empty where it finds it in that eye no more."""
    cases: int
    acknowledged: int
    for_review: bool


def listing(actor: Actor) -> list[CautionLine]:
    """Return every caution that a surgeon met, those for review first, then the most frequent.

    Raises:
        Refused: they may not read cases by number.
    """
    actor.require(pseudonymous.LIST)
    answers = list(_answers())
    titles = _titles(answers)
    lines = [line._replace(title=titles.get(line.code, "")) for line in counted(answers)]
    return sorted(lines, key=lambda line: (not line.for_review, -line.cases, line.code))


def counted(answers: Iterable[Answer]) -> list[CautionLine]:
    """Return each caution with the eyes in which it stood, and in how many it was acknowledged.

    An eye counts once, however often it was answered.
    """
    stood: dict[str, set[tuple[str, str]]] = defaultdict(set)
    seen: dict[str, set[tuple[str, str]]] = defaultdict(set)
    for answer in answers:
        for code in _cautions(answer.shown):
            stood[code].add(answer.case)
            if code in answer.acknowledged:
                seen[code].add(answer.case)
    return [
        CautionLine(
            code, "", len(cases), len(seen[code]), is_for_review(len(cases), len(seen[code]))
        )
        for code, cases in stood.items()
    ]


def is_for_review(cases: int, acknowledged: int) -> bool:
    """Return whether so many of so many cases are nearly always."""
    return cases >= ENOUGH_CASES and 100 * acknowledged > MOST_PERCENT * cases


def _cautions(shown: Shown) -> list[str]:
    return [one["code"] for one in shown["findings"] if one["level"] == "caution"]


def _answers() -> Iterator[Answer]:
    """Yield every answer of every site. What was declined or asked about, its request shows."""
    entries = [
        entry
        for site in installation.site_titles()
        for kind in ANSWERS
        for entry in journal.entries_of_kind(site, kind)
    ]
    payloads = [(entry, payload_of(entry)) for entry in entries]
    requests = journal.entries_by_id(
        {payload["body"]["request"] for entry, payload in payloads if entry.kind != APPROVED}
    )
    for entry, payload in payloads:
        body = payload["body"]
        case = (payload["person"], payload["eye"])
        if entry.kind == APPROVED:
            codes = frozenset(one["code"] for one in body["acknowledged"])
            yield Answer(case, entry.received_at, body["shown"], codes)
        elif body["request"] in requests:
            shown = payload_of(requests[body["request"]])["body"]["shown"]
            yield Answer(case, entry.received_at, shown, frozenset())


def _titles(answers: list[Answer]) -> dict[str, str]:
    """Return code -> title, from the newest plan with that caution.

    A plan computed again knows the one eye only; what compares two eyes is in the person's fold.
    """
    newest: dict[str, Answer] = {}
    for answer in sorted(answers, key=lambda one: one.received_at):
        newest.update(dict.fromkeys(_cautions(answer.shown), answer))
    found: dict[str, str] = {}
    for code, answer in newest.items():
        if code not in found:
            person, eye = answer.case
            now = kept_folds.current_fold(person)["eyes"][eye]["findings"]
            found.update({finding["code"]: finding["title"] for finding in now})
            found.update(recheck.titles_now(answer.shown))
    return found
