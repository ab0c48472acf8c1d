"""Rules of an order on its way, and of its box up to theatre.

``static/records/rules/orders.js`` is the twin.
"""

from webapp.records.rules.rule import Problem, Rule, Values


def correction_iff_corrects(body: Values, _payload: Values) -> Problem:
    """A confirmation says why it is another one exactly where it takes the place of one."""
    if (body["correction"] is None) == (not body["corrects"]):
        return None
    if body["correction"] is None:
        return "correction", "Say why there is another confirmation."
    return "correction", "This is the first confirmation: there is none before it to correct."


def expected_not_before_confirmed(body: Values, _payload: Values) -> Problem:
    """A lens is expected on the day of its confirmation at the earliest."""
    return _not_before(body, "confirmed_on", "it was confirmed")


def expected_not_before_shipped(body: Values, _payload: Values) -> Problem:
    """A lens is expected on the day of its shipping at the earliest."""
    return _not_before(body, "shipped_on", "it was shipped")


def second_is_another(body: Values, payload: Values) -> Problem:
    """A second reading is another person's; a box agrees only by two people."""
    if (body["second"] is None) != (body["second_person"] is None):
        return "second_person", "A second reading needs the person who made it, and only then."
    if body["second_person"] == payload["author"]:
        return "second_person", "The second person must be somebody else than the first."
    if body["outcome"] == "agrees" and body["second"] is None:
        return "second", "A box agrees only after a second person has read its label."
    return None


def theatre_outcome(body: Values, _payload: Values) -> Problem:
    """A check in theatre agrees only with person, eye and box; not implanted says why."""
    not_implanted = body["outcome"] == "not_implanted"
    if (body["why"] is not None) != not_implanted:
        return "why", "Say why the lens is not implanted, and only then."
    if not_implanted and body["note"] is None:
        return "note", "Write in a few words why the lens is not implanted."
    agrees = body["outcome"] == "agrees"
    if agrees and len(body["person_confirmed"]) < 2:
        return "person_confirmed", "Confirm who it is by two things, such as name and birth date."
    needed = ("label", "eye", "printed_same") if agrees else ("label",)
    for field in () if not_implanted else needed:
        if body[field] is None:
            return field, "A box is compared only where all of it was looked at. This is missing."
    if agrees and body["code"] is None and body["trace"] is None:
        return "trace", "Scan the code of the box, or read lot, serial number and date off it."
    return None


def _not_before(body: Values, field: str, what: str) -> Problem:
    # Dates are written so that their texts sort as the days do.
    if body["expected_on"] is None or body["expected_on"] >= body[field]:
        return None
    return "expected_on", f"It is expected before {what}. Check both days."


RULES: tuple[Rule, ...] = (
    correction_iff_corrects,
    expected_not_before_confirmed,
    expected_not_before_shipped,
    second_is_another,
    theatre_outcome,
)
