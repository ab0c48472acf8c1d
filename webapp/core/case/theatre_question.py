"""What theatre asks of one eye: may it begin, is this the box, and how the lens will lie.

Phone and server ask the same, so that a check is judged alike on both.
"""

from webapp.core.box.products import Product
from webapp.core.box.seat import SEATS, view
from webapp.core.box.theatre import compared, released_of, seen_of
from webapp.core.case.casefile import fold
from webapp.core.case.serial_elsewhere import elsewhere, where_text
from webapp.core.case.theatre_sheet import sheet_json
from webapp.core.entry import Entry, entries_of
from webapp.core.errors import BadInput
from webapp.core.lens_words import Lens, as_json, lens_of, lens_text, read_back
from webapp.core.reference import Reference

# A stop of one of these causes is about which lens this is; others are about measuring.
CAUSES = ("decisions", "box", "wrong_eye", "theatre")
FIRST = "The lens maker\u2019s instructions and local rules come first."

# Common practice, but for the last day and the pressure; code, whether for toric lenses only, text.
CAUTIONS = (
    ("marks", 0, "A second person sees the marks of the lens, front side up, before it goes in."),
    ("turned", 0, "A lens that opens upside down is never turned over inside the eye: take it out,"
     " look at it, load it again."),
    ("rescan", 0, "Scan the box at the time-out and again before the lens is loaded."),
    ("upright", 1, "The axis is marked with the person sitting upright. Take a picture of the axis"
     " at the end."),
    ("incision", 0, "An incision of about 2.8 mm, unless the maker says otherwise; note its"
     " meridian."),
    ("washed", 0, "Wash out all viscoelastic. Measure the pressure after 1 to 4 hours and on the"
     " next day."),
)  # fmt: skip


def question(
    entries: list[Entry], reference: Reference, eye: str, today: str, asked: dict[str, object]
) -> dict[str, object]:
    """Return what stops, how the box compares, and the lens in words and drawings.

    Args:
        entries: records of one person, each once.
        reference: the lens catalogue and limits in force.
        eye: "R" or "L", as it is on the list.
        today: ``YYYY-MM-DD``.
        asked: ``order`` and ``days``; of what was read so far ``eye_said``, ``code``, ``trace``,
            ``second_trace``, ``printed_same``, ``incision_meridian_deg``, each null where it was
            not read yet; ``sheet``, what the code of a printed sheet says, or null; ``others``,
            records of surgeries of other people that are known here, none where it is absent.

    Raises:
        BadInput: with the field that cannot be used.
    """
    if eye not in ("R", "L"):
        raise BadInput("eye", "an eye is R or L")
    eyes = fold(entries, reference, today)["eyes"]
    found = eyes[eye]  # type: ignore[index]
    theatre = found["theatre"]
    order = None if theatre is None else named(entries, theatre["order"])
    lens = None if order is None else lens_of(order.body["lens"])
    label = None if order is None else named(entries, theatre["label"])
    others = entries_of(asked.get("others") or [])
    stops = stops_of(found, asked.get("order")) + implanted(entries, others, eye, label)
    incision = asked.get("incision_meridian_deg")
    if incision is not None and not (isinstance(incision, int) and 1 <= incision <= 180):
        raise BadInput("incision_meridian_deg", "a meridian goes from 1 to 180")
    answer = {
        "theatre": theatre,
        "order": found["order"],
        "stops": stops,
        "lens": None if lens is None else lens_json(eye, lens),
        "views": None if lens is None else [view(eye, lens.axis_deg, incision, s) for s in SEATS],
        "backup": backup_of(found),
        "cautions": [] if lens is None else cautions(lens),
        "first": FIRST,
    }
    box = None
    if order is not None and lens is not None and label is not None:
        seen = seen_of(read_of(asked), asked.get("days"))
        numbers = products_for(entries, reference, order)
        box = compared(lens, released_of(eye, label.body), seen, numbers)
    answer["box"] = box
    sheet = asked.get("sheet")
    answer["sheet"] = sheet_json(found, sheet) if isinstance(sheet, str) else None
    answer["outcome"] = "stop" if stops or box is None else box["outcome"]
    return answer


def backup_of(found: dict[str, object]) -> dict[str, object] | None:
    """Return which of an eye's two lenses this is, in a sentence; None where there is one alone."""
    backup = found["backup"]
    if backup is None:
        return None
    return {name: backup[name] for name in ("sentence", "can_release", "why_not", "released")}  # type: ignore[index]


def products_for(entries: list[Entry], reference: Reference, order: Entry) -> list[Product]:
    """Return the product numbers of the catalogue by which an order was approved."""
    approval = named(entries, order.body["approval"])
    if approval is None:
        return []
    numbers: list[Product] = reference.products.get(approval.body["shown"]["catalogue"], [])
    return numbers


def read_of(asked: dict[str, object]) -> dict[str, object]:
    """Return what was read in theatre under the names of a record."""
    names = ("code", "code_by", "trace", "second_trace", "printed_same")
    read = {name: asked.get(name) for name in names}
    read["eye"] = asked.get("eye_said")
    return read


def implanted(
    entries: list[Entry], others: list[Entry], eye: str, label: Entry | None
) -> list[dict[str, object]]:
    """Return the stop of a released lens that lies in another eye already (invariant I20)."""
    serial = None if label is None else label.body["first"]["serial"]
    return [
        stop("theatre.serial", "A lens of this serial number was implanted already",
             where_text(one, str(serial)))
        for one in elsewhere(entries, others, eye, serial)
    ]  # fmt: skip


def named(entries: list[Entry], name: str | None) -> Entry | None:
    """Return a record by its id."""
    for one in entries:
        if one.id == name:
            return one
    return None


def stops_of(found: dict[str, object], order: object) -> list[dict[str, object]]:
    """Return why theatre must not begin with this eye, each with what to do; none where it may."""
    theatre = found["theatre"]
    if theatre is None:
        return [stop("theatre.no_order", "No order stands for this eye", str(found["state_why"]))]
    if theatre["order"] != order:  # type: ignore[index]
        return [stop("theatre.other_order", "Another order stands for this eye",
                     "It was ordered anew since this was opened. Open the eye again.")]  # fmt: skip
    told = [
        {name: one[name] for name in ("code", "title", "text", "do")}
        for one in found["findings"]  # type: ignore[attr-defined]
        if one["level"] == "stop" and one["cause"] in CAUSES
    ]
    if not told and theatre["ready"] == 0:  # type: ignore[index]
        told.append(
            stop("theatre.not_ready", "No released box for this eye", str(theatre["text"]))  # type: ignore[index]
        )
    return told


def stop(code: str, title: str, text: str) -> dict[str, object]:
    """Return one reason not to begin."""
    return {"code": code, "title": title, "text": text, "do": "Do not implant. Ask the base desk."}


def lens_json(eye: str, lens: Lens) -> dict[str, object]:
    """Return the ordered lens with its words."""
    answer = as_json(lens)
    answer["text"] = lens_text(lens)
    answer["read_back"] = read_back(eye, lens)
    return answer


def cautions(lens: Lens) -> list[dict[str, str]]:
    """Return what is said before and after the lens goes in."""
    return [
        {"code": code, "text": text}
        for code, toric_only, text in CAUTIONS
        if not toric_only or lens.axis_deg is not None
    ]
