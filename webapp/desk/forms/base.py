"""What every form of the desk has, and how typed text is taken."""

import unicodedata

from flask_wtf import FlaskForm
from wtforms import Field
from wtforms.validators import ValidationError


class DeskForm(FlaskForm):  # type: ignore[misc]  # the library publishes no types
    """A form of the desk; the token against forged requests comes with every one."""


def trimmed(text: str | None) -> str | None:
    """Return what was typed without the spaces around it, letters in Unicode's composed form."""
    return unicodedata.normalize("NFC", text).strip() if text else text


def one_kind_of_line(text: str | None) -> str | None:
    """Return a text with plain line ends: browsers send carriage returns as well."""
    return text.replace("\r\n", "\n") if text else text


def printable(_form: FlaskForm, field: Field) -> None:
    """Refuse characters that can't be seen, which a record would refuse too."""
    if field.data and not field.data.isprintable():
        raise ValidationError("There is a character in it that can’t be seen. Type it again.")
