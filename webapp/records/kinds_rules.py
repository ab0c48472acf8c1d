"""Rules between the fields of one record, by name; ``static/records/kinds_rules.js`` twins it.

A rule takes the object that it is listed with in ``kinds.json`` and the whole payload, both with
every field already checked alone. It returns the field and the sentence of what is wrong, or None.
"""

from collections.abc import Callable
from typing import Any

Values = dict[str, Any]
Problem = tuple[str, str] | None
Rule = Callable[[Values, Values], Problem]


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


def axis_iff_cylinder(body: Values, _payload: Values) -> Problem:
    """A cylinder has an axis; without a cylinder there is none."""
    if body["cylinder_cD"] != 0 and body["axis_deg"] is None:
        return "axis_deg", "A cylinder needs its axis. Give the axis, 1 to 180."
    if body["cylinder_cD"] == 0 and body["axis_deg"] is not None:
        return (
            "axis_deg",
            "Without a cylinder there is no axis. Clear it, or give a cylinder.",
        )
    return None


def vertex_iff_spectacle(body: Values, _payload: Values) -> Problem:
    """A refraction at the glasses has a vertex distance; one at the cornea has none."""
    if body["plane"] == "spectacle" and body["vertex_um"] is None:
        return "vertex_um", "At the glasses the vertex distance is needed. Measure it, 8 to 18 mm."
    if body["plane"] == "corneal" and body["vertex_um"] is not None:
        return "vertex_um", "At the cornea there is no vertex distance. Clear it, or say glasses."
    return None


def meridional_power(body: Values, _payload: Values) -> Problem:
    """Both principal powers of a refraction stay from -35.00 to +20.00 D."""
    if -3500 <= body["sphere_cD"] + body["cylinder_cD"] <= 2000:
        return None
    return (
        "cylinder_cD",
        "Sphere and cylinder together go from \u221235.00 to +20.00 D. Check both and their signs.",
    )


def keratometry_unit_fields(body: Values, _payload: Values) -> Problem:
    """Keratometry is given in the unit that the device shows, and in no other."""
    dioptres, millimetres = ("flat_cD", "steep_cD"), ("flat_radius_um", "steep_radius_um")
    wanted, other = (dioptres, millimetres) if body["unit"] == "D" else (millimetres, dioptres)
    name = "dioptres (D)" if body["unit"] == "D" else "millimetres (mm)"
    for field in wanted:
        if body[field] is None:
            return field, f"The unit is {name}: give this value in {name}."
    for field in other:
        if body[field] is not None:
            return field, f"The unit is {name}: clear this value, or change the unit."
    return None


def flat_not_steeper(body: Values, _payload: Values) -> Problem:
    """The flat meridian has the smaller power, so the larger radius."""
    if body["flat_cD"] is not None and body["flat_cD"] > body["steep_cD"]:
        return "steep_cD", "The flat K is stronger than the steep K. Check which is which."
    flat_um, steep_um = body.get("flat_radius_um"), body.get("steep_radius_um")
    if flat_um is not None and steep_um is not None and flat_um < steep_um:
        return "steep_radius_um", (
            "The flat radius is shorter than the steep radius. Check which is which."
        )
    return None


def grade_or_angle(body: Values, _payload: Values) -> Problem:
    """Gonioscopy gives a grade, the spur angle gives degrees; neither gives both."""
    graded = body["method"] == "gonioscopy"
    wanted, other = ("grade", "angle_deg") if graded else ("angle_deg", "grade")
    if body[wanted] is None:
        return wanted, "Gonioscopy needs its grade." if graded else "The spur angle needs degrees."
    if body[other] is not None:
        return other, "This belongs to the other method. Clear it, or change the method."
    return None


def dated_before_taken(body: Values, _payload: Values) -> Problem:
    """An earlier refraction was made before the day on which it is copied."""
    if body["dated"] < body["taken"][:10]:
        return None
    return "dated", "An earlier refraction was made before today. Give the date written on it."


def made_before_taken(body: Values, _payload: Values) -> Problem:
    """A map has a day of its own only where it is older than the day on which it is read."""
    made_on = body.get("made_on")
    if made_on is None or made_on < body["taken"][:10]:
        return None
    return "made_on", "An earlier map was made before today. Give the day on it, or clear it."


def is_with_kmax(body: Values, _payload: Values) -> Problem:
    """The I−S difference is there exactly where the device gives it."""
    given = body["values"] == "kmax_is"
    if given and body["is_cD"] is None:
        return "is_cD", "The I\u2212S difference is still missing. Give it, or say it is not given."
    if not given and body["is_cD"] is not None:
        return "is_cD", "The device gives no I\u2212S difference: clear it."
    return None


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
    """Another reason for taking a lens out is written."""
    if body["why"] != "other" or body["note"] is not None:
        return None
    return "note", "Write in a few words why the lens was taken out."


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


def sure_before_operation(body: Values, _payload: Values) -> Problem:
    """Before any further operation on the lens all four checks are answered with sure."""
    if body["decision"] not in ("exchange", "turn", "rerotate", "remove"):
        return None
    for field in ("scan", "label", "orientation", "eye"):
        if body["sure"][field] != "sure":
            return f"sure.{field}", "Be sure of this first. Without it only watching is decided."
    return None


def vault_not_millimetres(body: Values, _payload: Values) -> Problem:
    """A vault is 0 for touch, or at least 10 \u00b5m: a smaller number was read in millimetres."""
    if body["vault_um"] == 0 or body["vault_um"] >= 10:
        return None
    return "vault_um", "That looks like millimetres. Give the vault in \u00b5m, such as 480."


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


def another_person(body: Values, payload: Values) -> Problem:
    """Somebody is compared or joined with somebody else."""
    if body["other"] != payload["person"]:
        return None
    return "other", "A person is compared or joined with another one, not with themselves."


def kept_is_named(body: Values, _payload: Values) -> Problem:
    """What a settlement keeps is one of the decisions that it names."""
    if body["kept"] is None or body["kept"] in body["decisions"]:
        return None
    return "kept", "What is kept must be one of the decisions that contradict each other."


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


def checked_or_why_not(body: Values, _payload: Values) -> Problem:
    """A surgery names its check in theatre or says why there was none, never both."""
    if body.get("theatre_check") is None or body.get("unchecked_reason") is None:
        return None
    return "unchecked_reason", "Name the check in theatre, or say why there was none: one of them."


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


def _not_before(body: Values, field: str, what: str) -> Problem:
    # Dates are written so that their texts sort as the days do.
    if body["expected_on"] is None or body["expected_on"] >= body[field]:
        return None
    return "expected_on", f"It is expected before {what}. Check both days."


def models_named_once(body: Values, _payload: Values) -> Problem:
    """Each lens model of a catalogue has a name of its own."""
    names = [model["model"] for model in body["models"]]
    for name in names:
        if names.count(name) > 1:
            return "models", f"The model {name} is listed twice. Keep one."
    return None


def model_steps(model: Values, _payload: Values) -> Problem:
    """Powers of a lens model run upwards in whole steps; a spherical model has no cylinder."""
    low, high = model["sphere_min_cD"], model["sphere_max_cD"]
    if low > high or (high - low) % model["sphere_step_cD"] != 0:
        return "sphere_max_cD", "Spheres must run from lowest to highest in whole steps."
    cylinders = [model[f"cylinder_{end}_cD"] for end in ("min", "max", "step")]
    if model["toric"] == 0:
        if any(cylinders) or model["axis_step_deg"] != 0:
            return "toric", "A spherical model has no cylinder and no axis step: write 0."
        return None
    low, high, step = cylinders
    if step == 0 or low > high or (high - low) % step != 0:
        return "cylinder_max_cD", "Cylinders must run from lowest to highest in whole steps."
    if model["axis_step_deg"] == 0:
        return "axis_step_deg", "A toric model needs its axis step."
    return None


def vault_model_parts(body: Values, _payload: Values) -> Problem:
    """A vault model has a number for each of its features, in their fixed order."""
    order = ["one", "excess_mm", "lens_rise_mm"]
    features, size = body["features"], len(body["features"])
    if features != order[:size]:
        return "features", "Features are one, excess_mm and, if used, lens_rise_mm, in this order."
    if len(body["mean_um_e3"]) != size:
        return "mean_um_e3", "There must be one coefficient for each feature."
    if len(body["V_e9"]) != size * (size + 1) // 2:
        return "V_e9", "The upper triangle has a row for each feature, each one shorter."
    if (body["centre_lens_rise_um"] is None) != (size < len(order)):
        return "centre_lens_rise_um", "The lens rise has a centre where it is a feature, only then."
    return None


def gap_runs_upwards(body: Values, _payload: Values) -> Problem:
    """Lost records are numbered from a first to a last one."""
    if body["to_seq"] < body["from_seq"]:
        return "to_seq", "The last number lost comes before the first."
    return None


RULES: dict[str, Rule] = {
    rule.__name__: rule
    for rule in (
        one_birth,
        consent_to_store,
        lens_details_need_lenses,
        disease_needs_note,
        axis_iff_cylinder,
        vertex_iff_spectacle,
        meridional_power,
        keratometry_unit_fields,
        flat_not_steeper,
        grade_or_angle,
        dated_before_taken,
        made_before_taken,
        is_with_kmax,
        final_axis_with_cylinder,
        event_needs_note,
        explanted_with_explants,
        other_why_needs_note,
        shown_same_implant,
        lens_iff_exchange,
        sure_before_operation,
        vault_not_millimetres,
        shown_same_eye,
        findings_answered,
        gap_runs_upwards,
        another_person,
        kept_is_named,
        second_is_another,
        theatre_outcome,
        checked_or_why_not,
        correction_iff_corrects,
        expected_not_before_confirmed,
        expected_not_before_shipped,
        models_named_once,
        model_steps,
        vault_model_parts,
    )
}
