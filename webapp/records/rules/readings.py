"""Rules of what is measured, before surgery and after it.

``static/records/rules/readings.js`` is the twin.
"""

from webapp.records.rules.rule import Problem, Rule, Values


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


def vault_not_millimetres(body: Values, _payload: Values) -> Problem:
    """A vault is 0 for touch, or at least 10 \u00b5m: a smaller number was read in millimetres."""
    if body["vault_um"] == 0 or body["vault_um"] >= 10:
        return None
    return "vault_um", "That looks like millimetres. Give the vault in \u00b5m, such as 480."


RULES: tuple[Rule, ...] = (
    axis_iff_cylinder,
    vertex_iff_spectacle,
    meridional_power,
    keratometry_unit_fields,
    flat_not_steeper,
    grade_or_angle,
    dated_before_taken,
    made_before_taken,
    is_with_kmax,
    vault_not_millimetres,
)
