"""Both lenses of an eye as they cross the door, and what the surgeon may say of them."""

from webapp.core.case.as_json import order_json, stamp
from webapp.core.case.backup import Pair, checks_of
from webapp.core.case.boxes import boxes_json, boxes_of
from webapp.core.case.decisions import Decisions
from webapp.core.case.late import Late
from webapp.core.case.supplier import progress
from webapp.core.describe import line
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.lens_words import lens_of, lens_text


def backup_json(
    exam: Exam, made: Decisions, late: Late | None, pair: Pair | None
) -> dict[str, object] | None:
    """Return the orders of the chosen lens and of its back-up with their boxes; None without one.

    ``can_release`` is 1 where a surgeon's record may release the back-up; ``why_not`` says why not.
    ``checks`` are those of the chosen lens, of which that record names one.
    """
    if pair is None or pair.backup is None:
        return None
    checks = checks_of(exam, pair.chosen)
    why_not = why_no_release(made, pair, checks)
    return {
        "chosen": order_json(exam, made, pair.chosen),
        "order": order_json(exam, made, pair.backup),
        "chosen_text": lens_text(lens_of(pair.chosen.body["lens"])),
        "text": lens_text(lens_of(pair.backup.body["lens"])),
        "chosen_box": boxes_json(boxes_of(exam, made, late, pair, pair.chosen)),
        "box": boxes_json(boxes_of(exam, made, late, pair, pair.backup)),
        "checks": [{"id": one.id, "text": line(one), "wall": one.wall} for one in checks],
        "said": [release_json(one) for one in pair.said],
        "released": None if pair.released is None else release_json(pair.released),
        "can_release": 0 if why_not else 1,
        "why_not": why_not,
        "sentence": sentence(pair),
    }


def why_no_release(made: Decisions, pair: Pair, checks: list[Entry]) -> str | None:
    """Return why a surgeon cannot release the back-up now; None where it can be done."""
    if pair.released is not None:
        return "The back-up lens is released already."
    if not checks:
        return "The chosen lens was not checked yet. Its box is checked first, whatever is wrong."
    if progress(made, pair.backup).stage != "received":
        return "The back-up lens is not here yet."
    return None


def release_json(record: Entry) -> dict[str, object]:
    """Return a surgeon's record that a chosen lens is not implanted."""
    answer = stamp(record)
    answer["check"] = record.body["check"]
    answer["reason"] = record.reason
    return answer


def sentence(pair: Pair) -> str:
    """Return in words which of both lenses may be implanted, and what the other one is."""
    chosen = lens_text(lens_of(pair.chosen.body["lens"]))
    backup = lens_text(lens_of(pair.backup.body["lens"]))
    if pair.released is not None:
        return (
            "This is the back-up lens. The chosen one, " + chosen + ", is not implanted: "
            + str(pair.released.reason)
        )  # fmt: skip
    return (
        "A back-up lens was ordered too: " + backup + ". It is not released; only a surgeon\u2019s"
        " record can do that, and then the chosen one is not."
    )  # fmt: skip
