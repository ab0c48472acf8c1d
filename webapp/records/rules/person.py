"""Rules about people: who they are, what they agreed to, what they answered.

``static/records/rules/person.js`` is the twin.
"""

from webapp.records.rules.rule import Problem, Rule, Values


def one_birth(body: Values, _payload: Values) -> Problem:
    """A person has a birth date or, where it is not known, a birth year: exactly one."""
    if (body["birth_date"] is None) != (body["birth_year"] is None):
        return None
    return "birth_date", "Give the birth date or, if only the year is known, the year: one of them."


def consent_to_store(body: Values, _payload: Values) -> Problem:
    """Nothing is kept without consent."""
    if body["consent_store"] == "yes":
        return None
    return "consent_store", "Without the person's consent nothing may be kept. Keep no record."


def lens_details_need_lenses(body: Values, _payload: Values) -> Problem:
    """Kind and days of contact lenses belong to people who wear them."""
    if body["contact_lenses"] == "yes":
        return None
    for field in ("contact_lens_type", "contact_lens_days_out"):
        if body[field] is not None:
            return field, "This belongs to people who wear contact lenses. Answer yes, or clear it."
    return None


def disease_needs_note(body: Values, _payload: Values) -> Problem:
    """An eye disease is named."""
    if body["eye_disease"] != "yes" or body["eye_disease_note"] is not None:
        return None
    return "eye_disease_note", "Write which eye disease or operation it is."


def another_person(body: Values, payload: Values) -> Problem:
    """Somebody is compared or joined with somebody else."""
    if body["other"] != payload["person"]:
        return None
    return "other", "A person is compared or joined with another one, not with themselves."


RULES: tuple[Rule, ...] = (
    one_birth,
    consent_to_store,
    lens_details_need_lenses,
    disease_needs_note,
    another_person,
)
