"""What is typed of the theatre's list: a day, a place, why it changes. Nothing is filled in."""

from wtforms import DateField, StringField
from wtforms.validators import InputRequired, Length, Optional

from webapp.desk.forms.base import DeskForm, printable, trimmed
from webapp.desk.forms.fields import passphrase_field, reason_field
from webapp.records.kinds import KINDS

PLACE = KINDS["theatre.listed"].fields["place"]
UNSIGNED = "Type your passphrase: the list is signed for by the person writing it."


def _day() -> DateField:
    return DateField("Day of the list", [InputRequired("Give the day. Nothing was changed.")])


def _place() -> StringField:
    most = PLACE["max_chars"]
    checks = [Optional(), Length(max=most, message=f"At most {most} characters."), printable]
    return StringField("Place, if it matters: theatre, table or session", checks, [trimmed])


class PutForm(DeskForm):
    """Eyes put on the list of a day; which ones is ticked in the table."""

    operate_on = _day()
    place = _place()
    passphrase = passphrase_field("Your passphrase, for this list", f"{UNSIGNED} Nothing changed.")


class MoveForm(DeskForm):
    """Another day or place for one eye."""

    operate_on = _day()
    place = _place()
    reason = reason_field("Why it is moved", "Say why: theatre will ask. Nothing was changed.")
    passphrase = passphrase_field("Your passphrase, for moving it", f"{UNSIGNED} Nothing changed.")


class OffForm(DeskForm):
    """One eye taken off its list."""

    off_reason = reason_field(
        "Why it is taken off", "Say why: theatre will ask. It is still on the list."
    )
    off_passphrase = passphrase_field(
        "Your passphrase, for taking it off", f"{UNSIGNED} It is still on the list."
    )
