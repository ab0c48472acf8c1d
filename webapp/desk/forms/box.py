"""What is typed off the label of a lens box; nothing of it is filled in from the order."""

from typing import Any

from wtforms import DateField, Field, HiddenField, StringField
from wtforms.validators import DataRequired, InputRequired, Length, Optional, ValidationError

from webapp.desk.forms.base import DeskForm, printable, trimmed
from webapp.desk.forms.fields import passphrase_field
from webapp.records.errors import BadRecord
from webapp.records.kinds import SHAPES
from webapp.records.kinds_values import letters_problem, parse_field

FIELDS = SHAPES["box_label"].fields
CODE_MAX_CHARS = 500
NOT_THERE = "A label without it cannot be checked: do not implant this lens."


def number_field(name: str, label: str, checks: list[Any]) -> StringField:
    """Return the field of one number of a label, judged as a record judges it."""

    def as_recorded(_form: DeskForm, field: Field) -> None:
        if not field.data:
            return
        try:
            field.recorded = parse_field(name, FIELDS[name], field.data)
        except BadRecord as bad:
            raise ValidationError(bad.message) from None

    return StringField(label, [*checks, as_recorded], [trimmed])


def text_field(name: str, label: str) -> StringField:
    """Return the field of one text of a label."""
    longest = FIELDS[name]["max_chars"]
    too_long = Length(max=longest, message=f"At most {longest} characters.")
    missing = DataRequired(f"Type the {label.lower()}. {NOT_THERE}")

    def letters(_form: DeskForm, field: Field) -> None:
        problem = letters_problem(FIELDS[name], field.data, None)
        if problem is not None:
            raise ValidationError(problem)

    return StringField(label, [missing, too_long, printable, letters], [trimmed])


def reader_or_keys(text: str | None) -> str:
    """Return where a code came from; what the page does not say was typed."""
    return "reader" if text == "reader" else "keys"


class LabelForm(DeskForm):
    """A label as one person reads it, character by character."""

    model = text_field("model", "Model")
    sphere_cD = number_field(  # noqa: N815 - the name that the record has
        "sphere_cD", "Sphere, D, with its sign", [DataRequired(f"Type the sphere. {NOT_THERE}")]
    )
    cylinder_cD = number_field(  # noqa: N815 - as above
        "cylinder_cD",
        "Cylinder, D, with its sign",
        [DataRequired(f"Type the cylinder, 0 for none. {NOT_THERE}")],
    )
    axis_deg = number_field("axis_deg", "Axis, °, if there is a cylinder", [])
    length_um = number_field(
        "length_um", "Overall length, mm", [DataRequired(f"Type the length. {NOT_THERE}")]
    )
    lot = text_field("lot", "Lot")
    serial = text_field("serial", "Serial number")
    expiry_date = DateField("Use by", [DataRequired(f"Give the last day. {NOT_THERE}")])

    def validate_axis_deg(self, field: Field) -> None:
        """Ask for the axis exactly where there is a cylinder."""
        cylinder = getattr(self.cylinder_cD, "recorded", None)
        if cylinder and not field.data:
            raise ValidationError("A cylinder needs its axis. Give the axis, 1 to 180.")
        if cylinder == 0 and field.data:
            raise ValidationError("Without a cylinder there is no axis. Check the cylinder.")

    def ask_only(self, names: list[str]) -> None:
        """Leave out what this person need not read."""
        for name in FIELDS:
            if name not in names:
                del self[name]

    def label(self) -> dict[str, Any]:
        """Return what was read, as a record holds it; null for what was not asked."""
        return {name: _recorded(self[name]) if name in self else None for name in FIELDS}


def _recorded(field: Field) -> Any:  # noqa: ANN401 - a number, a text, or none
    if isinstance(field, DateField):
        return field.data.isoformat()
    return getattr(field, "recorded", None if field.short_name == "axis_deg" else field.data)


class BoxForm(LabelForm):
    """The code of the box, and its label as the person signed in reads it."""

    code = StringField(
        "Code of the box",
        [Optional(), Length(max=CODE_MAX_CHARS, message="This is too long for a code.")],
    )
    code_by = HiddenField(default="keys", filters=[reader_or_keys])
    device_day = HiddenField()


class SecondForm(LabelForm):
    """Who reads the label again, and what they read; the first reading goes with it unseen."""

    read = HiddenField(validators=[InputRequired("The first reading is missing. Begin again.")])
    name = StringField(
        "Sign-in name of the second person",
        [DataRequired("The second person types their sign-in name."), Length(max=60)],
        [trimmed],
    )
    passphrase = passphrase_field(
        "Passphrase of the second person",
        "The second person types their passphrase. Nothing was recorded.",
    )
