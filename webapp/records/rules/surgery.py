"""Rules of a lens that goes into an eye or comes out of it.

``static/records/rules/surgery.js`` is the twin.
"""

from webapp.records.rules.rule import Problem, Rule, Values


def final_axis_with_cylinder(body: Values, _payload: Values) -> Problem:
    """Only a lens with a cylinder lies along an axis."""
    if body["final_axis_deg"] is None or body["lens"]["cylinder_cD"] != 0:
        return None
    return "final_axis_deg", "A lens without a cylinder has no axis. Clear it, or check the lens."


def event_needs_note(body: Values, _payload: Values) -> Problem:
    """What happened at surgery is described, unless it was nothing unusual."""
    if body["event"] == "none" or body["note"] is not None:
        return None
    return "note", "Write in a few words what happened and what was done."


def explanted_with_explants(body: Values, _payload: Values) -> Problem:
    """What is said of a lens taken out belongs to a surgery that names it."""
    if body.get("explants") is not None:
        return None
    for field in ("explanted_serial", "explanted_reason"):
        if body.get(field) is not None:
            return field, "This belongs to an exchange. Name the lens taken out, or clear it."
    return None


def other_why_needs_note(body: Values, _payload: Values) -> Problem:
    """A reason that is none of the list is written."""
    if body["why"] != "other" or body["note"] is not None:
        return None
    return "note", "Write in a few words why."


def checked_or_why_not(body: Values, _payload: Values) -> Problem:
    """A surgery names its check in theatre or says why there was none, never both."""
    if body.get("theatre_check") is None or body.get("unchecked_reason") is None:
        return None
    return "unchecked_reason", "Name the check in theatre, or say why there was none: one of them."


RULES: tuple[Rule, ...] = (
    final_axis_with_cylinder,
    event_needs_note,
    explanted_with_explants,
    other_why_needs_note,
    checked_or_why_not,
)
