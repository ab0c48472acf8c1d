"""What one person reads off the label printed on a lens box, and how it compares and reads."""

from collections import namedtuple

from webapp.core.dates import parts
from webapp.core.errors import BadInput
from webapp.core.lens_words import LENS_FIELDS, Lens
from webapp.core.used import minus_form
from webapp.core.wording import dioptres, millimetres

# The lens fields are those of an order; lot, serial and expiry_date are null for a person who was
# not asked for them. A label may be printed in plus cylinder and is kept as it is printed.
TRACED = ("lot", "serial", "expiry_date")
FIELDS = LENS_FIELDS + TRACED
Printed = namedtuple(
    "Printed",
    (
        "model", "sphere_cD", "cylinder_cD", "axis_deg", "length_um",
        "lot", "serial", "expiry_date",
    ),
)  # fmt: skip

NAMES = {
    "model": "Model",
    "sphere_cD": "Sphere",
    "cylinder_cD": "Cylinder",
    "axis_deg": "Axis",
    "length_um": "Length",
    "lot": "Lot",
    "serial": "Serial number",
    "expiry_date": "Use by",
}


def printed_of(name: str, value: object) -> Printed | None:
    """Return what a person read; None where that person has read nothing yet.

    Raises:
        BadInput: field ``name``.
    """
    if value is None:
        return None
    if not isinstance(value, dict) or any(field not in value for field in FIELDS):
        raise BadInput(name, name + " needs each of " + ", ".join(FIELDS))
    found = Printed(*[value[field] for field in FIELDS])
    for field in ("sphere_cD", "cylinder_cD", "length_um"):
        require_whole(name + "." + field, value[field])
    if (found.axis_deg is None) != (found.cylinder_cD == 0):
        raise BadInput(name + ".axis_deg", "a lens has an axis exactly when it has a cylinder")
    if found.axis_deg is not None:
        require_whole(name + ".axis_deg", found.axis_deg)
        if not 1 <= found.axis_deg <= 180:
            raise BadInput(name + ".axis_deg", "an axis goes from 1 to 180")
    require_texts(name, found)
    return found


def require_whole(field: str, value: object) -> None:
    """Raise BadInput unless a value is a whole number."""
    if value is True or value is False or not isinstance(value, int):
        raise BadInput(field, field + " must be a whole number as recorded")


def require_texts(name: str, found: Printed) -> None:
    """Raise BadInput unless the texts are texts, and the date a date."""
    for field in ("model", "lot", "serial", "expiry_date"):
        text = getattr(found, field)
        may_be_absent = field in TRACED
        if not (text is None and may_be_absent) and not (isinstance(text, str) and text != ""):
            raise BadInput(name + "." + field, name + "." + field + " must be text")
    if found.expiry_date is not None:
        parts(found.expiry_date)


def comparable(found: Printed | Lens, fields: tuple[str, ...]) -> dict[str, object]:
    """Return values as they are compared: the power in minus cylinder, whichever is printed.

    -9.75 -2.50 x 15 and -12.25 +2.50 x 105 are one lens.
    """
    answer: dict[str, object] = {name: getattr(found, name) for name in fields}
    power = {
        "sphere_cD": found.sphere_cD,
        "cylinder_cD": found.cylinder_cD,
        "axis_deg": found.axis_deg,
    }
    sphere_cD, cylinder_cD, axis_deg = minus_form(power)
    answer["sphere_cD"] = sphere_cD
    answer["cylinder_cD"] = cylinder_cD
    answer["axis_deg"] = axis_deg
    return answer


def text_of(field: str, value: object) -> str | None:
    """Return one value as it is shown; None where there is none to show."""
    if field == "axis_deg" and value is None:
        return "no axis"
    if value is None:
        return None
    if isinstance(value, int):
        return number_text(field, value)
    return str(value)


def number_text(field: str, value: int) -> str:
    """Return one number as it is shown, with its unit."""
    if field == "axis_deg":
        return str(value) + "\u00b0"
    return millimetres(value) if field == "length_um" else dioptres(value)
