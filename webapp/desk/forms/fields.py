"""Fields that many forms have; each form says in its own words what happens without them."""

from collections.abc import Mapping
from typing import Any

from wtforms import PasswordField, SelectChoice, TextAreaField
from wtforms.validators import DataRequired, InputRequired, Length

from webapp.desk.forms.base import one_kind_of_line, trimmed

REASON_MAX_CHARS = 500


def choices_of(field: Mapping[str, Any]) -> list[SelectChoice]:
    """Return the answers that a field of a record may have, in its own words."""
    return [SelectChoice(value, label) for value, label in field["choices"]]


def passphrase_field(label: str, without: str) -> PasswordField:
    """Return the field of one's own passphrase: what it signs for, what is said without it."""
    return PasswordField(label, [InputRequired(without)])


def reason_field(label: str, without: str) -> TextAreaField:
    """Return the field of a reason in words, and what is said without one."""
    too_long = f"At most {REASON_MAX_CHARS} characters."
    checks = [DataRequired(without), Length(max=REASON_MAX_CHARS, message=too_long)]
    return TextAreaField(label, checks, [trimmed, one_kind_of_line])
