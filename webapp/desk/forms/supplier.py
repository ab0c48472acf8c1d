"""What is typed of an order at the supplier: confirmed, shipped, arrived. Nothing is filled in."""

from collections.abc import Sequence
from typing import Any

from wtforms import DateField, Field, HiddenField, RadioField, StringField
from wtforms.validators import DataRequired, InputRequired, Length, Optional, ValidationError

from webapp.desk.forms.base import DeskForm, printable, trimmed
from webapp.desk.forms.fields import choices_of, passphrase_field
from webapp.desk.forms.ordering import REFERENCE_MAX_CHARS, TOO_LONG
from webapp.records.errors import BadRecord
from webapp.records.kinds import KINDS, SHAPES
from webapp.records.kinds_values import parse_field

LENS = SHAPES["lens"].fields
CONFIRMED = KINDS["order.confirmed"].fields
TYPED = ("sphere_cD", "cylinder_cD", "axis_deg", "length_um")
NOTHING_KEPT = "Nothing was recorded."
MODEL_MAX_CHARS = LENS["model"]["max_chars"]


def parsed_number(form: DeskForm, field: Field) -> None:
    """Refuse what is not a number of this field of a lens, in the words of the records."""
    try:
        parse_field(field.name, LENS[field.name], field.data)
    except BadRecord as bad:
        raise ValidationError(bad.message) from bad


def _number(name: str, without: str, needed: bool = True) -> StringField:
    label, unit = LENS[name]["label"], LENS[name]["unit"]
    first = DataRequired(without) if needed else Optional()
    return StringField(f"{label}, {unit}", [first, parsed_number], [trimmed])


def _day(label: str, without: str = "") -> DateField:
    first = InputRequired(without) if without else Optional()
    return DateField(label, [first])


class ConfirmationForm(DeskForm):
    """What the supplier's confirmation says, typed from it; the order is not shown to copy from."""

    corrects = HiddenField()
    for_eye = RadioField(
        "Eye on the confirmation",
        [InputRequired(f"Choose the eye that the confirmation names. {NOTHING_KEPT}")],
        choices=choices_of(CONFIRMED["for_eye"]),
    )
    model = StringField(
        "Model",
        [
            DataRequired(f"Type the model. {NOTHING_KEPT}"),
            Length(max=MODEL_MAX_CHARS, message=f"At most {MODEL_MAX_CHARS} characters."),
            printable,
        ],
        [trimmed],
    )
    sphere_cD = _number("sphere_cD", f"Type the sphere with its sign. {NOTHING_KEPT}")  # noqa: N815 - named as recorded
    cylinder_cD = _number("cylinder_cD", f"Type the cylinder, 0 for none. {NOTHING_KEPT}")  # noqa: N815 - named as recorded
    axis_deg = _number("axis_deg", "", needed=False)
    length_um = _number("length_um", f"Type the overall length. {NOTHING_KEPT}")
    reference = StringField(
        "Supplier’s reference",
        [
            DataRequired(f"Type the supplier’s reference. {NOTHING_KEPT}"),
            Length(max=REFERENCE_MAX_CHARS, message=TOO_LONG),
            printable,
        ],
        [trimmed],
    )
    confirmed_on = _day("Day of the confirmation", f"Give the day it was sent. {NOTHING_KEPT}")
    expected_on = _day("Expected at the base, if a day is given")
    correction = RadioField(
        "Why there is another confirmation",
        [Optional()],
        choices=choices_of(CONFIRMED["correction"]),
    )
    passphrase = passphrase_field(
        "Your passphrase, for this confirmation",
        f"Type your passphrase: what was typed is signed for. {NOTHING_KEPT}",
    )

    def validate_correction(self, field: Field) -> None:
        """Ask why exactly where another confirmation stands."""
        if self.corrects.data and not field.data:
            raise ValidationError(f"Say why there is another one. {NOTHING_KEPT}")

    def said(self) -> dict[str, Any]:
        """Return the body of the record but for the order; every number as it was typed."""
        numbers = {name: self._whole(name) for name in TYPED}
        return {
            "reference": self.reference.data,
            "for_eye": self.for_eye.data,
            "lens": {"model": self.model.data, **numbers},
            "confirmed_on": self.confirmed_on.data.isoformat(),
            "expected_on": iso(self.expected_on),
            "corrects": (self.corrects.data or "").split(),
            "correction": self.correction.data or None,
        }

    def _whole(self, name: str) -> int | None:
        text = self[name].data
        return parse_field(name, LENS[name], text) if text else None


class ShippedForm(DeskForm):
    """When the lens was shipped."""

    shipped_on = _day("Day of shipping", f"Give the day it was shipped. {NOTHING_KEPT}")
    shipped_expected_on = _day("Expected at the base, if a day is given")


class ReceivedForm(DeskForm):
    """When the lens arrived."""

    received_on = _day("Day of arrival", f"Give the day it arrived. {NOTHING_KEPT}")


def iso(field: DateField) -> str | None:
    """Return the day of a field as it is recorded, None where none was given."""
    return field.data.isoformat() if field.data else None


def standing_ids(confirmations: Sequence[dict[str, Any]]) -> str:
    """Return the ids of the confirmations that stand, as a hidden field carries them."""
    return " ".join(sorted(one["id"] for one in confirmations))
