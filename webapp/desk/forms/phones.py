"""Keys of phones: confirmed, revoked, closed; and a core that is recalled."""

from wtforms import BooleanField, DateTimeLocalField, Field, SelectField, StringField
from wtforms.validators import DataRequired, Length, Optional, ValidationError

from webapp.desk.forms.base import DeskForm, trimmed
from webapp.desk.forms.fields import passphrase_field, reason_field


class ConfirmPhoneForm(DeskForm):
    """The words were compared with the phone, and by whom."""

    same = BooleanField(
        "The phone in front of me shows the same eight words, in the same order",
        [DataRequired("Compare the words first, then say so. Nothing was changed.")],
    )
    passphrase = passphrase_field(
        "Your passphrase, for this phone",
        "Type your passphrase: a phone is signed for. Nothing was changed.",
    )


NOBODY_ELSE, IN_OTHER_HANDS = "nobody", "since"


class RevokePhoneForm(DeskForm):
    """Why a key ends, since when somebody else may have had it, and who says so."""

    why = SelectField("Why", [DataRequired("Choose why. The key still counts.")])
    hands = SelectField(
        "Can somebody else have used it?",
        [DataRequired("Choose one: approvals hang on it. The key still counts.")],
    )
    since = DateTimeLocalField("Since when, UTC", [Optional()])
    passphrase = passphrase_field(
        "Your passphrase, for this revocation",
        "Type your passphrase: a revocation is signed for. The key still counts.",
    )

    def validate_hands(self, field: Field) -> None:
        """Ask for the time exactly where somebody else may have had the phone."""
        if field.data == IN_OTHER_HANDS and not self.since.data:
            raise ValidationError("Give the earliest time it can have been. The key still counts.")
        if field.data == NOBODY_ELSE and self.since.data:
            raise ValidationError("A time is given, but nobody else: which is right?")


class CloseKeyForm(DeskForm):
    """That the key is gone from its phone, and who says so."""

    gone = BooleanField(
        "The phone’s storage was cleared, or this key is used no more",
        [DataRequired("Say that the key is gone first. It still counts.")],
    )
    passphrase = passphrase_field(
        "Your passphrase, to close it",
        "Type your passphrase: a closing is signed for. The key still counts.",
    )


class RecallForm(DeskForm):
    """Which calculation core is recalled, and why; another administrator confirms."""

    core = StringField(
        "Core",
        [DataRequired("Give the name of the core. Nothing was changed."), Length(max=100)],
        [trimmed],
    )
    why = reason_field(
        "Why it is recalled",
        "Say why it is recalled. Nothing was changed.",
    )
    recall_passphrase = passphrase_field(
        "Your passphrase, to propose it",
        "Type your passphrase: a recall is signed for. Nothing was changed.",
    )
