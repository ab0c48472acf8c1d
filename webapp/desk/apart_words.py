"""A record kept apart in words: what it is about, and what it says as far as it can be read."""

from webapp.desk.eyes import eye_of
from webapp.desk.kind_words import body_words
from webapp.flow.kept_apart import Apart
from webapp.records.kinds import KINDS

IN_WORDS = {"text", "int", "choice", "date", "instant", "typed"}
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
    if not {field["type"] for field in KINDS[kind].fields.values()} <= IN_WORDS:
        return "A decision: it is shown on the device that made it."
    return body_words(kind, one.payload["body"], leave_out=("taken", "typed"))


def wall(one: Apart) -> str | None:
    """Return when it was made by its device's clock, if it says so."""
    return str(one.payload["wall"]) if one.whole else None
