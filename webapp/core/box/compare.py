"""A box against the order, field by field: agrees, differs, or cannot be told.

The code carries product, dates, lot and serial number; power, axis, length and model are printed
only. Each value must be read twice, by code and by a person or by two people, and the readings
must be the same before anything is compared with the order (hazards H30, H31, H34, H35). Nothing
is taken over from the order, and there is no override.
"""

from collections import namedtuple

from webapp.core.box.code import Code, is_scan, read_any, source_of
from webapp.core.box.printed import (
    FIELDS,
    NAMES,
    TRACED,
    Printed,
    comparable,
    printed_of,
    text_of,
)
from webapp.core.box.products import Product, product_verdict
from webapp.core.box.verdict import AGREES, CANNOT_TELL, DIFFERS, Verdict
from webapp.core.dates import day_number
from webapp.core.errors import BadInput
from webapp.core.lens_words import LENS_FIELDS, Lens

# code: what the code says, or None; scanned: whether a reader gave it. first, second: what two
# people read off the label. days: what each clock says today is.
Box = namedtuple("Box", ("code", "scanned", "first", "second", "days"))


def box_of(read: dict[str, object], days: object) -> Box:
    """Return a box as it was read: ``code`` with ``code_by``, ``first`` and ``second``.

    Raises:
        BadInput: field ``code``, ``first``, ....
    """
    code, first, second = [read.get(name) for name in ("code", "first", "second")]
    known = days_of(days)
    said = None
    if code is not None:
        if not isinstance(code, str):
            raise BadInput("code", "code must be text")
        try:
            said = read_any(code, known[0])
        except BadInput as problem:
            raise BadInput("code", problem.message) from None
    scanned = said is not None and is_scan(str(code), source_of(read.get("code_by")))
    return Box(said, scanned, printed_of("first", first), printed_of("second", second), known)


def days_of(days: object) -> list[str]:
    """Return what each clock says today is. Raises: BadInput, field ``days``."""
    if not isinstance(days, list) or not days:
        raise BadInput("days", "days must list what each clock says today is")
    for day in days:
        if not isinstance(day, str):
            raise BadInput("days", "days must be dates")
        day_number(day)
    return days


def compared(lens: Lens, box: Box, products: list[Product]) -> dict[str, object]:
    """Return every field of a box beside the order, and the outcome of all.

    ``outcome`` is "differs" as soon as one field does; it is "agrees" only where each one does.

    Args:
        lens: as it was ordered.
        box: as it was read.
        products: product numbers of the catalogue that the order was approved by.
    """
    ordered = comparable(lens, LENS_FIELDS)
    rows = [row_of(field, ordered, box) for field in FIELDS] + product_rows(lens, box, products)
    outcomes = [row["outcome"] for row in rows]
    telling = [one for one in (DIFFERS, CANNOT_TELL) if one in outcomes]
    return {
        "outcome": (telling + [AGREES])[0],
        "scanned": 1 if box.scanned else 0,
        "code": None if box.code is None else code_json(box.code),
        "rows": rows,
        "second_reads": second_reads(box),
    }


def code_json(code: Code) -> dict[str, object]:
    """Return what the code says, as it crosses the door."""
    return {
        "gtin": code.gtin,
        "production_date": code.production_date,
        "expiry_date": code.expiry_date,
        "lot": code.lot,
        "serial": code.serial,
    }


def second_reads(box: Box) -> list[str]:
    """Return the fields that a second person must read: those that no scan gave."""
    scan = code_json(box.code) if box.scanned else {}
    return [name for name in FIELDS if name in LENS_FIELDS or scan.get(name) is None]


def row_of(field: str, ordered: dict[str, object], box: Box) -> dict[str, object]:
    """Return one field of the order, the code and both people, with what to make of it."""
    verdict = judged(field, ordered, box)
    first, second = shown_of(field, box.first), shown_of(field, box.second)
    return {
        "field": field,
        "name": NAMES[field],
        "ordered": text_of(field, ordered[field]) if field in LENS_FIELDS else None,
        "code": coded(field, box),
        "first": first,
        "second": second,
        "outcome": verdict.outcome,
        "why": verdict.why,
        "text": verdict.text,
    }


def product_rows(lens: Lens, box: Box, products: list[Product]) -> list[dict[str, object]]:
    """Return the row of the product number where the code has one and the catalogue lists some."""
    gtin = None if box.code is None else box.code.gtin
    verdict = product_verdict(gtin, lens.model, products)
    if verdict is None:
        return []
    return [
        {
            "field": "gtin", "name": "Product number", "ordered": None, "code": gtin,
            "first": None, "second": None,
            "outcome": verdict.outcome, "why": verdict.why, "text": verdict.text,
        }
    ]  # fmt: skip


def coded(field: str, box: Box) -> str | None:
    """Return what the code says of a field."""
    said = None if box.code is None or field not in TRACED else getattr(box.code, field)
    return None if said is None else str(said)


def shown_of(field: str, found: Printed | None) -> str | None:
    """Return what a person read in words, as it is printed."""
    return None if found is None else text_of(field, getattr(found, field))


def judged(field: str, ordered: dict[str, object], box: Box) -> Verdict:
    """Return what to make of one field."""
    read = readings_of(field, box)
    if len(set(read)) > 1:
        return Verdict(
            DIFFERS, "readings_differ",
            "What was read off this box differs. Read the box itself again, not each other.",
        )  # fmt: skip
    # What is known to be wrong stops at once, also before the second reading.
    wrong = wrong_value(field, read, ordered, box)
    if wrong is not None:
        return wrong
    if independent(field, read, box) < 2:
        return Verdict(CANNOT_TELL, "one_reading", "Read once so far, or not at all.")
    return Verdict(AGREES, "", other_notation(field, ordered, box))


def other_notation(field: str, ordered: dict[str, object], box: Box) -> str:
    """Return a sentence where an agreeing power is printed in plus cylinder, else no text."""
    if field in LENS_FIELDS and getattr(box.first, field) != ordered[field]:
        return "Printed in plus cylinder; it is the same power."
    return ""


def readings_of(field: str, box: Box) -> list[object]:
    """Return every reading of a field: a scan, a typed code, and each person."""
    read: list[object] = []
    if coded(field, box) is not None:
        read.append(coded(field, box))
    for found in (box.first, box.second):
        if found is None:
            continue
        value = comparable(found, FIELDS)[field]
        if value is not None or field == "axis_deg":
            read.append(value)
    return read


def independent(field: str, read: list[object], box: Box) -> int:
    """Return how many of the readings count: a code that was typed is the first person's own."""
    is_typed_twice = coded(field, box) is not None and not box.scanned
    return len(read) - (1 if is_typed_twice else 0)


def wrong_value(
    field: str, read: list[object], ordered: dict[str, object], box: Box
) -> Verdict | None:
    """Return what is wrong with a value that all readings agree on; None if nothing is."""
    if not read:
        return None
    value = read[0]
    if field in LENS_FIELDS and value != ordered[field]:
        return Verdict(DIFFERS, "not_ordered", "Another one was ordered.")
    if field == "expiry_date" and is_past(str(value), box.days):
        return Verdict(DIFFERS, "expired", "The lens has expired. It must not be implanted.")
    return None


def is_past(date: str, days: list[str]) -> bool:
    """Return whether a date lies before what any clock says today is: the worse of them counts."""
    return any([day_number(date) < day_number(day) for day in days])
