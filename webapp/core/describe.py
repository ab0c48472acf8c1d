"""One line in words for any record: its value with unit, or what was decided."""

from webapp.core.dates import day_words
from webapp.core.describe_order import (
    backup_words,
    box_line,
    confirmation_line,
    listed_line,
    order_line,
    shipping_line,
    theatre_line,
)
from webapp.core.describe_surgery import asked_line, decision_line, removal_line, surgery_line
from webapp.core.describe_values import WRITERS, value_text
from webapp.core.entry import Entry
from webapp.core.lens_words import lens_of, lens_text
from webapp.core.measured import label_of, word_of
from webapp.core.wording import capital


def line(entry: Entry) -> str:
    """Return one line about any record for a history: "White-to-white 11.62 mm"."""
    body = entry.body
    if entry.kind in WRITERS:
        text = capital(label_of(entry.kind)) + " " + value_text(entry)
        return text + (", corrected: " + str(entry.reason) if entry.replaces else "")
    if entry.kind == "reading.unread":
        return capital(word_of(body["quantity"])) + " could not be read: " + str(body["why"])
    if entry.kind == "plan.approval":
        return "Approved: " + lens_text(lens_of(body["shown"]["lens"])) + backup_words(body)
    if entry.kind == "late.answered":
        return LATE_ANSWERS[body["answer"]] + ": " + str(entry.reason)
    if entry.kind in LENS_LINES:
        return str(LENS_LINES[entry.kind](entry))
    return other_line(entry)


LENS_LINES = {
    "order.placed": order_line,
    "order.confirmed": confirmation_line,
    "order.shipped": shipping_line,
    "order.received": lambda entry: "The lens arrived " + day_words(entry.body["received_on"]),
    "label.checked": box_line,
    "theatre.listed": listed_line,
    "theatre.checked": theatre_line,
    "surgery.implanted": surgery_line,
    "surgery.explanted": removal_line,
    "exchange.decided": decision_line,
    "exchange.asked": asked_line,
}


def other_line(entry: Entry) -> str:
    """Return one line about a record that carries a text or nothing but its kind."""
    opening = str(OPENINGS.get(entry.kind, entry.kind))
    added = entry.body.get("text") or entry.body.get("supplier_reference") or entry.reason
    return opening + (": " + added if isinstance(added, str) and added else "")


LATE_ANSWERS = {
    "keep": "The order is kept after a change",
    "cancel": "The order is to be cancelled after a change",
    "plan_again": "The order is to be cancelled and the eye planned again",
}
OPENINGS = {
    "person.registered": "Registered",
    "person.compared": "Compared with another registration",
    "person.merged": "Joined with another registration",
    "person.split": "Separated from another registration",
    "history.answers": "Questions answered",
    "history.health": "Questions about general health answered",
    "record.void": "A record was withdrawn",
    "plan.request": "Sent for a plan",
    "plan.question": "The surgeon asks",
    "plan.answer": "Answered",
    "plan.decline": "Declined",
    "plan.withdrawal": "Taken back",
    "decision.settled": "A contradiction was settled",
    "urgent.told": "Somebody was told of an urgent reading",
    "urgent.answered": "An urgent reading was answered",
    "recall.contact": "Called back for a visit",
    "order.referenced": "Supplier's reference",
    "order.cancelled": "Order cancelled",
    "order.printed": "Order sheet printed",
    "backup.released": "Back-up lens released instead of the chosen one",
    "theatre.confirmed": "Confirmed in theatre by a second person",
    "box.put_aside": "A box was put aside in theatre",
    "box.answered": "What became of a box that was put aside was recorded",
}
