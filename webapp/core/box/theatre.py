"""A box in theatre beside the label that was released: lot, serial number, day, and the eye.

Two people read the released label against the order already. Here one scan is enough to say that
this is that box; what no scan says, two people read, the second without having seen the first.
There is no override: a difference stops (hazards H29, H30, H31).
"""

from collections import namedtuple

from webapp.core.box.code import is_scan, read_any, source_of
from webapp.core.box.compare import code_json, days_of, is_past
from webapp.core.box.printed import NAMES, TRACED, comparable, printed_of, text_of
from webapp.core.box.products import Product, product_verdict
from webapp.core.box.verdict import AGREES, CANNOT_TELL, DIFFERS, Verdict
from webapp.core.dates import parts
from webapp.core.errors import BadInput
from webapp.core.lens_words import LENS_FIELDS, Lens
from webapp.core.wording import EYE_WORDS

# What one person read off the box; None where it was not read.
Trace = namedtuple("Trace", ("lot", "serial", "expiry_date"))
# code: what the code says, or None; scanned: whether a reader gave it. eye: as it is marked, or
# None. printed_same: 1, 0 or None. days: what each clock says today is.
Seen = namedtuple("Seen", ("eye", "code", "scanned", "first", "second", "printed_same", "days"))
# eye: of the order; first: the label as it was released; gtin: of its code, or None.
Released = namedtuple("Released", ("eye", "first", "gtin"))

NOTHING = Trace(None, None, None)
RIGHT = Verdict(AGREES, "", "")
OPEN = "Not looked at yet."


def seen_of(read: dict[str, object], days: object) -> Seen:
    """Return what was read in theatre. Raises: BadInput, field ``eye``, ``code``, ...."""
    known = days_of(days)
    code = read.get("code")
    if code is not None and not isinstance(code, str):
        raise BadInput("code", "code must be text")
    said = None
    if code is not None:
        try:
            said = read_any(code, known[0])
        except BadInput as problem:
            raise BadInput("code", problem.message) from None
    eye, same = read.get("eye"), read.get("printed_same")
    if eye not in ("R", "L", None):
        raise BadInput("eye", "an eye is R or L")
    if same is True or same is False or same not in (1, 0, None):
        raise BadInput("printed_same", "printed_same is 1, 0 or null")
    traces = [trace_of(name, read.get(name)) for name in ("trace", "second_trace")]
    scanned = said is not None and is_scan(str(code), source_of(read.get("code_by")))
    return Seen(eye, said, scanned, traces[0], traces[1], same, known)


def trace_of(name: str, value: object) -> Trace:
    """Return what one person read off the box. Raises: BadInput, field ``name``."""
    if value is None:
        return NOTHING
    if not isinstance(value, dict) or any(field not in value for field in TRACED):
        raise BadInput(name, name + " needs each of " + ", ".join(TRACED))
    for field in TRACED:
        text = value[field]
        if text is not None and not (isinstance(text, str) and text != ""):
            raise BadInput(name + "." + field, name + "." + field + " must be text")
    if value["expiry_date"] is not None:
        parts(value["expiry_date"])
    return Trace(*[value[field] for field in TRACED])


def released_of(eye: str, label: dict[str, object]) -> Released:
    """Return what the check of a box released for an eye. Raises: BadInput."""
    first = printed_of("label", label.get("first"))
    if first is None:
        raise BadInput("label", "the check of the box holds no label")
    return Released(eye, first, label.get("gtin"))


def compared(
    lens: Lens, released: Released, seen: Seen, products: list[Product]
) -> dict[str, object]:
    """Return each part of a box in theatre beside what was released, and the outcome of all.

    ``products``: product numbers of the catalogue that the order was approved by.
    """
    rows = [eye_row(released, seen)] + [trace_row(name, released, seen) for name in TRACED]
    rows += product_rows(lens, released, seen, products)
    rows += lens_rows(lens, released) + [printed_row(seen)]
    outcomes = [row["outcome"] for row in rows]
    telling = [one for one in (DIFFERS, CANNOT_TELL) if one in outcomes]
    return {
        "outcome": (telling + [AGREES])[0],
        "scanned": 1 if seen.scanned else 0,
        "code": None if seen.code is None else code_json(seen.code),
        "rows": rows,
        "second_reads": [name for name in TRACED if not is_scanned(name, seen)],
    }


def row(field: str, name: str, texts: list[str | None], verdict: Verdict) -> dict[str, object]:
    """Return one row; ``texts``: ordered, released, by the code, by the first, by the second."""
    return {
        "field": field,
        "name": name,
        "ordered": texts[0],
        "released": texts[1],
        "code": texts[2],
        "first": texts[3],
        "second": texts[4],
        "outcome": verdict.outcome,
        "why": verdict.why,
        "text": verdict.text,
    }


def eye_row(released: Released, seen: Seen) -> dict[str, object]:
    """Return the eye that is marked beside the eye that the lens is for (invariant I16)."""
    verdict = RIGHT
    if seen.eye is None:
        verdict = Verdict(CANNOT_TELL, "not_read", OPEN)
    elif seen.eye != released.eye:
        verdict = Verdict(DIFFERS, "other_eye", "The lens is for the other eye. Stop.")
    said = None if seen.eye is None else EYE_WORDS[seen.eye]
    return row("eye", "Eye", [EYE_WORDS[released.eye], None, None, said, None], verdict)


def trace_row(field: str, released: Released, seen: Seen) -> dict[str, object]:
    """Return lot, serial number or last day as read here beside what was released."""
    texts = [None, getattr(released.first, field), coded(field, seen)]
    texts += [getattr(seen.first, field), getattr(seen.second, field)]
    return row(field, NAMES[field], texts, trace_verdict(field, released, seen))


def trace_verdict(field: str, released: Released, seen: Seen) -> Verdict:
    """Return what to make of one of lot, serial number and last day."""
    own = getattr(released.first, field)
    if field == "expiry_date" and own is not None and is_past(own, seen.days):
        return Verdict(DIFFERS, "expired", "The lens has expired. It must not be implanted.")
    said = coded(field, seen)
    both = [getattr(seen.first, field), getattr(seen.second, field)]
    read = [key_of(one) for one in [said] + both if one is not None]
    if len(set(read)) > 1:
        return Verdict(DIFFERS, "readings_differ", "What was read off this box differs. Stop.")
    if read and (own is None or read[0] != key_of(own)):
        return Verdict(DIFFERS, "not_released", "Another one was released for this eye.")
    # A code that was typed is the first person's own reading.
    by_two = both[1] is not None and (both[0] is not None or said is not None)
    if not is_scanned(field, seen) and not by_two:
        return Verdict(CANNOT_TELL, "one_reading", "Scan it, or have both people read it.")
    return RIGHT


def coded(field: str, seen: Seen) -> str | None:
    """Return what the code says of a field."""
    said = None if seen.code is None else getattr(seen.code, field)
    return None if said is None else str(said)


def is_scanned(field: str, seen: Seen) -> bool:
    """Return whether a reader gave a field."""
    return bool(seen.scanned and coded(field, seen) is not None)


def key_of(text: str) -> str:
    """Return a number of a box as it is compared: letter case and spaces make no other box.

    Of ASCII alone: what older records may hold beside it, the two Pythons fold unlike.
    """
    return "".join([one.upper() if "a" <= one <= "z" else one for one in text if one != " "])


def product_rows(
    lens: Lens, released: Released, seen: Seen, products: list[Product]
) -> list[dict[str, object]]:
    """Return the row of the product number of the code: beside that of the released box.

    Where the base read none, it is looked up among those of the catalogue.
    """
    gtin = None if seen.code is None else seen.code.gtin
    verdict = product_verdict(gtin, lens.model, products)
    if gtin is not None and released.gtin is not None:
        verdict = RIGHT
        if gtin != released.gtin:
            verdict = Verdict(DIFFERS, "not_released", "A box of another product. Stop.")
    if verdict is None:
        return []
    return [row("gtin", "Product number", [None, released.gtin, gtin, None, None], verdict)]


def lens_rows(lens: Lens, released: Released) -> list[dict[str, object]]:
    """Return each field of the ordered lens beside the released label."""
    ordered, label = comparable(lens, LENS_FIELDS), comparable(released.first, LENS_FIELDS)
    rows = []
    for name in LENS_FIELDS:
        verdict = RIGHT
        if ordered[name] != label[name]:
            verdict = Verdict(DIFFERS, "not_ordered", "Another one was ordered.")
        printed = text_of(name, getattr(released.first, name))
        texts = [text_of(name, ordered[name]), printed, None, None, None]
        rows.append(row(name, NAMES[name], texts, verdict))
    return rows


def printed_row(seen: Seen) -> dict[str, object]:
    """Return whether power, axis and length on the box were said to be those shown."""
    verdict = RIGHT
    if seen.printed_same is None:
        verdict = Verdict(CANNOT_TELL, "not_read", OPEN)
    elif seen.printed_same == 0:
        verdict = Verdict(DIFFERS, "not_shown", "The box says something else than is shown. Stop.")
    said = {None: None, 0: "not as shown", 1: "as shown"}[seen.printed_same]
    name = "Power, axis and length on the box"
    return row("printed_same", name, [None, None, None, said, None], verdict)
