"""A record kept apart in words: what it is about, and what it says as far as it can be read."""

from webapp.desk.eyes import eye_of
from webapp.desk.kind_words import body_words
from webapp.flow.kept_apart import Apart
from webapp.records.kinds import KINDS, Field

IN_WORDS = {"text", "int", "choice", "date", "instant", "typed"}
OF_A_LENS = ("label.", "theatre.", "surgery.")
"""Kinds that say what is printed on a box or lies in an eye: all of theirs is read in words."""
UNREADABLE = "A record that can’t be read"


def title(one: Apart) -> str:
    """Return kind and eye, as "White-to-white, right eye"."""
    kind = KINDS.get(str(one.payload.get("kind")))
    if kind is None:
        return UNREADABLE
    eye = one.payload.get("eye")
    return f"{kind.title}, {eye_of(eye).word}" if eye in ("R", "L") else kind.title


def content(one: Apart) -> str:
    """Return what it says, or why that is not put into words."""
    if not one.whole:
        return "What it says breaks a rule and is not shown as a value."
    kind = one.payload["kind"]
    of_a_lens = kind.startswith(OF_A_LENS)
    fields = KINDS[kind].fields
    if not of_a_lens and not {field["type"] for field in fields.values()} <= IN_WORDS:
        return "A decision: it is shown on the device that made it."
    # An id names another record; nobody reads it as a value.
    ids = [name for name, field in fields.items() if _is_of_ids(field)]
    return body_words(kind, one.payload["body"], leave_out=("taken", "typed", *ids))


def _is_of_ids(field: Field) -> bool:
    kind = field["items"]["type"] if field["type"] == "list" else field["type"]
    return bool(kind == "id")


def wall(one: Apart) -> str | None:
    """Return when it was made by its device's clock, if it says so."""
    return str(one.payload["wall"]) if one.whole else None
