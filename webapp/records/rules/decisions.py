"""Rules of what a person decides by what was shown.

``static/records/rules/decisions.js`` is the twin.
"""

from webapp.records.rules.rule import Problem, Rule, Values


def shown_same_eye(body: Values, payload: Values) -> Problem:
    """What was shown is about the person and the eye of the record."""
    for field in ("person", "eye"):
        if body["shown"][field] != payload[field]:
            return f"shown.{field}", f"What was shown is about another {field}. Open it again."
    return None


def findings_answered(body: Values, _payload: Values) -> Problem:
    """Each caution shown is acknowledged, each stop overridden with a reason, nothing else is."""
    for level, field, verb in (
        ("caution", "acknowledged", "acknowledged"),
        ("stop", "overrides", "overridden with a reason"),
    ):
        shown = {f["code"] for f in body["shown"]["findings"] if f["level"] == level}
        answered = [answer["code"] for answer in body[field]]
        for code in sorted(shown):
            if code not in answered:
                return field, f"The {level} {code} was shown and is not {verb}."
        for code in answered:
            if code not in shown or answered.count(code) > 1:
                return field, f"{code} is answered here but was not shown once as a {level}."
    return None


def shown_same_implant(body: Values, _payload: Values) -> Problem:
    """What was shown is about the lens that the decision is about."""
    if body["shown"]["implant"] == body["implant"]:
        return None
    return "shown.implant", "What was shown is about another lens. Open it again."


def lens_iff_exchange(body: Values, _payload: Values) -> Problem:
    """An exchange names its new lens and what is predicted for it; no other decision does."""
    wanted = body["decision"] == "exchange"
    for field in ("lens", "predicted"):
        if (body["shown"][field] is not None) != wanted:
            return f"shown.{field}", "An exchange names its new lens, and nothing else does."
    return None


def reckoned_before_change(body: Values, _payload: Values) -> Problem:
    """Another lens, or turning this one, is decided only on what could be reckoned."""
    if body["decision"] not in ("exchange", "turn", "rerotate"):
        return None
    shown = body["shown"]
    parts = {field: shown[field] for field in ("model", "basis")}
    for field in ("vault_um", "predicted_um", "sd_um"):
        parts[f"observed.{field}"] = shown["observed"][field]
    for field, value in parts.items():
        if value is None:
            return f"shown.{field}", "Nothing was reckoned. Without it the lens is not changed."
    return None


def sure_before_operation(body: Values, _payload: Values) -> Problem:
    """Before any further operation on the lens all four checks are answered with sure."""
    if body["decision"] not in ("exchange", "turn", "rerotate", "remove"):
        return None
    for field in ("scan", "label", "orientation", "eye"):
        if body["sure"][field] != "sure":
            return f"sure.{field}", "Be sure of this first. Without it only watching is decided."
    return None


def kept_is_named(body: Values, _payload: Values) -> Problem:
    """What a settlement keeps is one of the decisions that it names."""
    if body["kept"] is None or body["kept"] in body["decisions"]:
        return None
    return "kept", "What is kept must be one of the decisions that contradict each other."


RULES: tuple[Rule, ...] = (
    shown_same_eye,
    findings_answered,
    shown_same_implant,
    lens_iff_exchange,
    reckoned_before_change,
    sure_before_operation,
    kept_is_named,
)
