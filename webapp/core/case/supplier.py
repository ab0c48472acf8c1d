"""How far an order is at the supplier, and whether what the supplier confirmed is what was ordered.

Nothing here looks at a clock, so no order of arrival matters. A confirmation that differs in one
field holds the order back, whatever else arrives; only another confirmation that names it ends
that, or the cancellation of the order. Nothing is ever taken over from a confirmation.
"""

from collections import namedtuple

from webapp.core.case.decisions import Decisions, is_cancelled
from webapp.core.dates import day_words
from webapp.core.describe_order import expected_words
from webapp.core.entry import Entry, in_display_order
from webapp.core.finding import Finding, fixed_stop
from webapp.core.wording import EYE_WORDS, capital, dioptres, millimetres

# stage: one of STAGES. standing: confirmations that no other one took the place of. differing:
# those of them that are not of what was ordered. shipped, received: those records, first to last.
Progress = namedtuple("Progress", ("stage", "standing", "differing", "shipped", "received"))
STAGES = ("placed", "differs", "confirmed", "shipped", "received", "cancelled")

# One compared field in words. agrees: 1 or 0.
Compared = namedtuple("Compared", ("field", "label", "ordered", "confirmed", "agrees"))

# Field of a lens, its label, how its value is written.
LENS_ROWS = (
    ("model", "Model", str),
    ("sphere_cD", "Sphere", dioptres),
    ("cylinder_cD", "Cylinder", lambda value: "none" if value == 0 else dioptres(value)),
    ("axis_deg", "Axis", lambda value: "none" if value is None else str(value) + "\u00b0"),
    ("length_um", "Length", millimetres),
)


def progress(made: Decisions, order: Entry) -> Progress:
    """Return how far an order is.

    Args:
        made: the decisions on its eye.
        order: one of its orders.
    """
    standing = standing_confirmations(about(made, order, "order.confirmed"))
    differing = [one for one in standing if differences(made, order, one)]
    shipped = about(made, order, "order.shipped")
    received = about(made, order, "order.received")
    stage = "placed"
    if is_cancelled(made, order):
        stage = "cancelled"
    elif differing:
        stage = "differs"
    elif received:
        stage = "received"
    elif shipped:
        stage = "shipped"
    elif standing:
        stage = "confirmed"
    return Progress(stage, standing, differing, shipped, received)


def about(made: Decisions, order: Entry, kind: str) -> list[Entry]:
    """Return the records of one kind about one order, in the order in which they are shown."""
    found = [one for one in made.at_supplier if one.kind == kind]
    return in_display_order([one for one in found if one.body["order"] == order.id])


def standing_confirmations(confirmations: list[Entry]) -> list[Entry]:
    """Return the confirmations that no other one took the place of.

    What was typed wrongly is put right by somebody else than who typed it.
    """
    replaced = {
        earlier.id
        for later in confirmations
        for earlier in confirmations
        if earlier.id in later.body["corrects"] and may_correct(later, earlier)
    }
    return [one for one in confirmations if one.id not in replaced]


def may_correct(later: Entry, earlier: Entry) -> bool:
    """Return whether one confirmation takes the place of another one that it names."""
    return bool(later.body["correction"] == "supplier" or later.author != earlier.author)


def compared(made: Decisions, order: Entry, confirmation: Entry) -> list[Compared]:
    """Return every field of a confirmation beside what was ordered."""
    lens, said = order.body["lens"], confirmation.body
    named = [one.body["supplier_reference"] for one in about(made, order, "order.referenced")]
    agrees = not named or said["reference"] in named
    eyes = [EYE_WORDS[eye] for eye in (order.eye, said["for_eye"])]
    known = named[-1] if named else "not given before"
    return (
        [Compared("for_eye", "Eye", eyes[0], eyes[1], as_flag(order.eye == said["for_eye"]))]
        + [
            Compared(name, label, write(lens[name]), write(said["lens"][name]),
                     as_flag(lens[name] == said["lens"][name]))
            for name, label, write in LENS_ROWS
        ]
        + [Compared("reference", "Supplier's reference", known, said["reference"], as_flag(agrees))]
    )  # fmt: skip


def as_flag(is_so: bool) -> int:
    """Return 1 or 0, as answers cross the door."""
    return 1 if is_so else 0


def differences(made: Decisions, order: Entry, confirmation: Entry) -> list[Compared]:
    """Return the fields in which a confirmation differs from its order."""
    return [one for one in compared(made, order, confirmation) if not one.agrees]


def expected_on(found: Progress) -> str | None:
    """Return the day on which the lens is expected: of the shipping, else of the confirmation."""
    days = [one.body["expected_on"] for one in found.standing + found.shipped]
    given = [day for day in days if day is not None]
    return given[-1] if given else None


def order_words(made: Decisions, order: Entry) -> str:
    """Return in a sentence how far an order is."""
    found = progress(made, order)
    number = str(order.body["number"])
    if found.stage == "cancelled":
        return "Order " + number + " was cancelled."
    if found.stage == "differs":
        return "Ordered, number " + number + "; the supplier confirmed something else."
    if found.stage == "received":
        day = day_words(found.received[0].body["received_on"])
        return "The lens of order " + number + " arrived " + day + "."
    words = "Ordered, number " + number
    if found.standing:
        words += ", confirmed by the supplier"
    if found.shipped:
        words += ", shipped " + day_words(found.shipped[-1].body["shipped_on"])
    return words + expected_words(expected_on(found)) + "."


def case_state(stage: str, found: Progress) -> str:
    """Return the state of an eye whose order is at a stage."""
    if stage == "received":
        return "received"
    return "confirmed" if stage != "differs" and found.standing else "ordered"


def differing_findings(made: Decisions, order: Entry) -> list[Finding]:
    """Return the stop of a confirmation that is not of what was ordered."""
    told = []
    for one in progress(made, order).differing:
        texts = [
            row.label.lower() + " " + row.confirmed + ", ordered " + row.ordered
            for row in differences(made, order, one)
        ]
        told.append(fixed_stop(
            "decisions.supplier_differs", "decisions", "The supplier confirmed something else",
            capital("; ".join(texts)) + ".",
            "Have the supplier correct the confirmation, or cancel the order. No lens of this order"
            " is released.", [order.id, one.id],
        ))  # fmt: skip
    return told


def confirmation_json(made: Decisions, order: Entry, confirmation: Entry) -> dict[str, object]:
    """Return a confirmation with every field beside what was ordered."""
    answer: dict[str, object] = {"id": confirmation.id, "author": confirmation.author}
    answer["wall"] = confirmation.wall
    for name in ("reference", "confirmed_on", "expected_on"):
        answer[name] = confirmation.body[name]
    rows = compared(made, order, confirmation)
    answer["compared"] = [
        {
            "field": one.field,
            "label": one.label,
            "ordered": one.ordered,
            "confirmed": one.confirmed,
            "agrees": one.agrees,
        }
        for one in rows
    ]
    answer["agrees"] = as_flag(all(one.agrees for one in rows))
    return answer


def progress_json(made: Decisions, order: Entry) -> dict[str, object]:
    """Return how far an order is: the stage, the confirmations that stand, the days."""
    found = progress(made, order)
    return {
        "id": order.id,
        "backup_of": order.body.get("backup_of"),
        "stage": found.stage,
        "words": order_words(made, order),
        "confirmations": [confirmation_json(made, order, one) for one in found.standing],
        "shipped_on": found.shipped[-1].body["shipped_on"] if found.shipped else None,
        "received_on": found.received[0].body["received_on"] if found.received else None,
        "expected_on": expected_on(found),
    }
