"""The states of a case in the order of its flow, in words and shapes, and who does what next."""

from collections.abc import Mapping
from typing import Any, NamedTuple

from webapp.desk.eyes import BOTH, Eye


class State(NamedTuple):
    """How one state is shown: word, chip shape, sentence of what is next, and by whom."""

    code: str
    word: str
    chip: str
    next: str
    whom: str


# The stream of the worklist, left to right, then the states beside the stream.
STREAM = (
    State("measuring", "Measuring", "outline", "Measure the {eye}.", "Optometrist"),
    State("ready", "Ready to send", "outline", "Send the {eye} for a plan.", "Optometrist"),
    State("queued", "With surgeon", "hourglass", "Decide on the {eye}.", "Surgeon"),
    State("returned", "Surgeon asks", "triangle", "Answer about the {eye}.", "Optometrist"),
    State("approved", "Approved", "done", "Place order, {eye}.", "Desk"),
    State("ordered", "Ordered", "done", "Confirm the order of the {eye}.", "Supplier"),
    State("confirmed", "Order confirmed", "done", "Lens for the {eye} is awaited.", "Supplier"),
    State("received", "Lens arrived", "done", "Check the label, {eye}.", "Two people"),
    State("verified", "Lens verified", "done", "Operate on the {eye}.", "Theatre"),
    State("implanted", "Implanted", "done", "See the {eye} after surgery.", "Optometrist"),
    State("followed", "Followed", "done", "Next visit of the {eye}.", "Optometrist"),
    State(
        "exchange_considered", "Exchange considered", "outline", "Do as decided, {eye}.", "Surgeon"
    ),
)
ASIDE = (
    State("stale", "Approval stale", "broken", "Review the {eye} again.", "Surgeon"),
    State("conflict", "Two decisions", "stop", "Settle the {eye}.", "A third surgeon"),
    State("cancelled", "Cancelled", "outline", "Decide on the {eye} again.", "Surgeon"),
    State("declined", "Declined", "outline", "Nothing more for the {eye}.", "Nobody"),
)
ORDERED = ("ordered", "confirmed", "received", "verified")
"""States of an eye whose order stands, until its surgery."""
IN_THE_EYE = ("implanted", "followed")
"""States of an eye with a lens in it."""
STATES = {state.code: state for state in (*STREAM, *ASIDE)}

# What the desk should look at first; a person stands under the most pressing eye.
PRESSING = (
    "conflict", "stale", "approved", "returned", "queued", "ready", "measuring", "cancelled",
    "received", "ordered", "confirmed", "verified", "exchange_considered", "implanted", "followed",
    "declined",
)  # fmt: skip

# States whose word does not say why.
EXPLAINED = ("stale", "conflict", "declined", "cancelled", "exchange_considered")


class NextStep(NamedTuple):
    """One line of the worklist's last columns."""

    text: str
    whom: str
    is_ours: bool
    """Whether it is the base desk that acts."""


def next_step(eyes: Mapping[str, Mapping[str, Any]]) -> NextStep:
    """Return what happens next for a person, the more pressing eye first."""
    for eye in BOTH:
        if eyes[eye.code].get("stop_after"):
            title = eyes[eye.code]["stop_after"]
            return NextStep(f"Look at the {eye.word}: {title}.", "Surgeon", False)
    for eye in BOTH:
        if eyes[eye.code].get("after_order"):
            return _after_order(eye, eyes[eye.code]["after_order"])
    for eye in BOTH:
        if eyes[eye.code].get("asked"):
            return NextStep(f"Weigh an exchange, {eye.word}.", "Surgeon", False)
    for eye in BOTH:
        if eyes[eye.code].get("overdue"):
            return NextStep(f"Ask the supplier for the lens of the {eye.word}.", "Desk", True)
    if all(eyes[eye.code]["state"] == "approved" for eye in BOTH):
        return NextStep("Place both orders.", "Desk, one after the other", True)
    first = min(BOTH, key=lambda eye: PRESSING.index(eyes[eye.code]["state"]))
    state = STATES[eyes[first.code]["state"]]
    return NextStep(_worded(state, first), state.whom, state.code == "approved")


def _after_order(eye: Eye, step: str) -> NextStep:
    """Return who acts on what came after an order: a surgeon first, then the desk."""
    if step == "answer":
        return NextStep(f"Answer what came after the order, {eye.word}.", "Surgeon", False)
    return NextStep(f"Cancel the order of the {eye.word} at the supplier.", "Desk", True)


def _worded(state: State, eye: Eye) -> str:
    """Return the state's next step with the eye in it."""
    return state.next.format(eye=eye.word)


NOTES = (
    ("question", "“{}”"),
    ("stop_after", "Stop: {}"),
    ("after_order", "Changed after the order"),
    ("asked", "Exchange asked for: {}"),
    ("overdue", "Late. {}"),
)
"""What an eye's note says before anything else, by the part of its cell that asks for it."""


def eye_note(eye: Mapping[str, Any]) -> str:
    """Return the short line below the chip: what is missing, asked or said of this eye."""
    for name, said in NOTES:
        if eye.get(name):
            return said.format(eye[name])
    if eye["state"] == "measuring":
        if eye.get("missing"):
            return f"{eye['missing']} still missing"
        return f"{eye['wanted']} wanted" if eye.get("wanted") else ""
    return str(eye.get("state_why") or "") if eye["state"] in EXPLAINED else ""
