"""An eye's readings as a screen shows them: each quantity with its repeats and the value in use."""

from webapp.core.describe import line
from webapp.core.describe_values import value_text
from webapp.core.entry import Entry, in_display_order
from webapp.core.exam import Exam
from webapp.core.live import of_kind
from webapp.core.measured import QUANTITIES, label_of
from webapp.core.rules.repeats import is_apart, spread_text
from webapp.core.wording import capital, fixed, micrometres, millimetres, refraction


def readings(exam: Exam) -> list[dict[str, object]]:
    """Return each quantity that was read, in the order in which it is measured."""
    return [
        quantity_json(exam, quantity.kind)
        for quantity in QUANTITIES
        if exam.this.readings[quantity.kind]
    ]


def quantity_json(exam: Exam, kind: str) -> dict[str, object]:
    """Return the repeats of one quantity, how far apart they are, and what a plan uses."""
    entries = in_display_order(exam.this.readings[kind])
    earlier = in_display_order([one for one in exam.this.earlier if one.kind == kind])
    apart = is_apart(exam.this, exam.limits, kind)
    return {
        "kind": kind,
        "word": capital(label_of(kind)),
        "entries": [entry_json(one) for one in entries],
        "earlier": [entry_json(one) for one in earlier],
        "spread_text": spread_text(kind, entries) if len(entries) > 1 else None,
        "apart": 1 if apart else 0,
        "used": {"text": used_text(exam, kind, entries)},
    }


def entry_json(entry: Entry) -> dict[str, object]:
    """Return one reading as it was recorded, with its value in words."""
    return {
        "id": entry.id,
        "body": entry.body,
        "author": entry.author,
        "wall": entry.wall,
        "received": entry.received,
        "replaces": entry.replaces,
        "reason": entry.reason,
        "text": value_text(entry),
    }


def used_text(exam: Exam, kind: str, entries: list[Entry]) -> str:
    """Return the value that a plan uses, in words; "not settled" where it uses none."""
    this = exam.this
    writers = {
        "reading.refraction": (this.refraction, refraction_words),
        "reading.keratometry": (this.cornea, cornea_words),
        "reading.chamber_depth": (this.depth, length_words),
        "reading.corneal_thickness": (this.thickness_um, micrometres),
        "reading.white_to_white": (this.white_to_white, length_words),
        "reading.sulcus_to_sulcus": (this.sulcus_to_sulcus, length_words),
        "reading.lens_rise": (this.lens_rise, length_words),
    }
    if kind not in writers:
        return " / ".join(value_text(one) for one in entries)
    value, write = writers[kind]
    return "not settled" if value is None else str(write(value))


def refraction_words(used: object) -> str:
    """Return the refraction in use."""
    parts = [getattr(used, name) for name in ("sphere_cD", "cylinder_cD", "axis_deg")]
    return refraction(*parts)


def cornea_words(used: object) -> str:
    """Return the keratometry in use."""
    flat_cD: int = getattr(used, "flat_cD", 0)
    steep_cD: int = getattr(used, "steep_cD", 0)
    meridian_deg: int = getattr(used, "steep_meridian_deg", 0)
    return (
        fixed(flat_cD, 100, 2)
        + " / "
        + fixed(steep_cD, 100, 2)
        + " D, steep at "
        + str(meridian_deg)
    )


def length_words(used: object) -> str:
    """Return a depth, rise or diameter in use."""
    value_um: int = getattr(used, "value_um", 0)
    return millimetres(value_um)


def wanted(exam: Exam) -> list[dict[str, str]]:
    """Return what is worth measuring though nothing forces it: second readings, optional ones."""
    found = []
    tried = [one["kind"] for one in unread(exam)]
    for quantity in QUANTITIES:
        entries = exam.this.readings[quantity.kind]
        word = capital(quantity.word)
        if is_apart(exam.this, exam.limits, quantity.kind):
            found.append({"kind": quantity.kind, "text": word + " once more"})
        elif quantity.again and len(entries) == 1:
            found.append({"kind": quantity.kind, "text": word + " again"})
        elif quantity.need == "optional" and not entries and quantity.kind not in tried:
            found.append({"kind": quantity.kind, "text": word + ", if you can"})
    return found


def unread(exam: Exam) -> list[dict[str, object]]:
    """Return the quantities that could not be read and still have no reading, with the reason."""
    entries = of_kind(exam.standing.live, "reading.unread", exam.this.eye)
    return [
        {
            "id": one.id,
            "kind": one.body["quantity"],
            "text": one.body["why"],
            "author": one.author,
            "wall": one.wall,
        }
        for one in in_display_order(entries)
        if not exam.this.readings.get(one.body["quantity"])
    ]


def withdrawn(exam: Exam) -> list[dict[str, object]]:
    """Return the readings that no longer count, with what took them out and why."""
    pairs = [
        (one, cause)
        for one, cause in exam.standing.withdrawn
        if one.eye == exam.this.eye and one.kind.startswith("reading.")
    ]
    return [
        {
            "id": one.id,
            "kind": one.kind,
            "text": line(one),
            "by": cause.id,
            "reason": cause.reason,
            "author": one.author,
            "wall": one.wall,
        }
        for one, cause in sorted(pairs, key=lambda pair: (pair[0].wall, pair[0].id))
    ]
