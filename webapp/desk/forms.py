"""What the desk types: every field says when it is missing and what it is for."""

import unicodedata

from flask_wtf import FlaskForm
from flask_wtf.file import FileField, FileRequired
from wtforms import (
    BooleanField,
    DateTimeLocalField,
    Field,
    HiddenField,
    PasswordField,
    RadioField,
    SelectChoice,
    SelectField,
    StringField,
    TextAreaField,
)
from wtforms.validators import (
    DataRequired,
    InputRequired,
    Length,
    Optional,
    ValidationError,
)

REFERENCE_MAX_CHARS = 60
REASON_MAX_CHARS = 500


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


class SignInForm(DeskForm):
    """Who is at the desk."""

    name = StringField(
        "Sign-in name", [DataRequired("Type your sign-in name."), Length(max=60)], [trimmed]
    )
    passphrase = PasswordField(
        "Passphrase", [InputRequired("Type your passphrase."), Length(max=200)]
    )
    next = HiddenField()


class ThemeForm(DeskForm):
    """Light paper or dusk, kept in this browser."""

    theme = HiddenField(validators=[InputRequired()])
    back = HiddenField()


class PlaceOrderForm(DeskForm):
    """The order names the approval that was read; the lens itself can't be typed."""

    approval = HiddenField(validators=[InputRequired("The approval is missing. Open it again.")])
    supplier_reference = StringField(
        "Supplier’s reference, if already given",
        [
            Optional(),
            Length(
                max=REFERENCE_MAX_CHARS,
                message=f"A supplier’s reference has at most {REFERENCE_MAX_CHARS} characters. "
                "Nothing was ordered; shorten it and place the order again.",
            ),
            printable,
        ],
        [trimmed],
    )
    passphrase = PasswordField(
        "Your passphrase, for this order",
        [InputRequired("Type your passphrase: an order is signed for by the person placing it.")],
    )


class ReferenceForm(DeskForm):
    """The number that the supplier gave to this order."""

    supplier_reference = StringField(
        "Supplier’s reference",
        [
            DataRequired("Type the supplier’s reference; nothing was changed."),
            Length(
                max=REFERENCE_MAX_CHARS,
                message=f"A supplier’s reference has at most {REFERENCE_MAX_CHARS} characters.",
            ),
            printable,
        ],
        [trimmed],
    )


class CancelForm(DeskForm):
    """Ending an order needs a reason and the person."""

    reason = TextAreaField(
        "Why it is cancelled",
        [
            DataRequired("Say why: surgeon and supplier will ask. The order still stands."),
            Length(max=REASON_MAX_CHARS, message=f"At most {REASON_MAX_CHARS} characters."),
        ],
        [trimmed, one_kind_of_line],
    )
    passphrase = PasswordField(
        "Your passphrase, for this cancellation",
        [InputRequired("Type your passphrase: a cancellation is signed for. The order stands.")],
    )


class NoFieldsForm(DeskForm):
    """A button alone: only the token against forged requests."""


class NewUserForm(DeskForm):
    """Somebody who may sign in, with a first passphrase given in person."""

    display_name = StringField(
        "Name, as it stands on approvals",
        [DataRequired("Type the name."), Length(max=80), printable],
        [trimmed],
    )
    sign_in_name = StringField(
        "Sign-in name",
        [DataRequired("Type a sign-in name."), Length(min=2, max=40), printable],
        [trimmed],
    )
    passphrase = PasswordField(
        "First passphrase (15 characters or more)",
        [
            InputRequired("Type a first passphrase."),
            Length(min=15, max=200, message="A passphrase has at least 15 characters."),
        ],
    )
    own_passphrase = PasswordField(
        "Your own passphrase", [InputRequired("Type your own passphrase. Nobody was added.")]
    )


class ConfirmForm(DeskForm):
    """One's own passphrase, for something that is not taken back lightly."""

    passphrase = PasswordField(
        "Your passphrase", [InputRequired("Type your passphrase. Nothing was changed.")]
    )


class OwnPassphraseForm(ConfirmForm):
    """One's own passphrase changed."""

    new = PasswordField(
        "New passphrase (12 characters or more)", [InputRequired("Type a new passphrase.")]
    )


class NewPassphraseForm(DeskForm):
    """A new passphrase with a one-time code."""

    name = StringField(
        "Sign-in name", [DataRequired("Type your sign-in name."), Length(max=60)], [trimmed]
    )
    code = StringField("One-time code", [DataRequired("Type the code."), Length(max=60)], [trimmed])
    new = PasswordField(
        "New passphrase (12 characters or more)", [InputRequired("Type a new passphrase.")]
    )


class ProposeResetForm(ConfirmForm):
    """Whose passphrase is to be made anew."""

    colleague = SelectField("Colleague", [InputRequired("Choose a colleague.")])


class IdentityForm(DeskForm):
    """Why somebody asks whose case it is."""

    reason = SelectField("Why you need to know", [InputRequired("Choose a reason.")])


class RoleForm(DeskForm):
    """One role at one site."""

    role = SelectField("Role", [InputRequired("Choose a role.")])
    site = SelectField("Site", [InputRequired("Choose a site.")])


class CatalogueFileForm(DeskForm):
    """A table of lens models to be looked at; sending it adopts nothing."""

    file = FileField("Catalogue as a CSV table", [FileRequired("Choose the CSV file.")])


class AdoptCatalogueForm(DeskForm):
    """The table that was looked at, its title, and the person who answers for it."""

    table = HiddenField(validators=[InputRequired("The table is missing. Choose the file again.")])
    title = StringField(
        "Title",
        [DataRequired("Give the catalogue a title."), Length(max=120), printable],
        [trimmed],
    )
    invented = BooleanField("Invented models, not for patients")
    passphrase = PasswordField(
        "Your passphrase, for this catalogue",
        [InputRequired("Type your passphrase: a catalogue is signed for. Nothing was adopted.")],
    )


class VaultModelFileForm(DeskForm):
    """A vault model to be looked at; sending it adopts nothing."""

    file = FileField("Vault model as JSON", [FileRequired("Choose the file.")])


class AdoptVaultModelForm(DeskForm):
    """The vault model that was looked at, and the surgeon who answers for it."""

    body = HiddenField(validators=[InputRequired("The model is missing. Choose the file again.")])
    passphrase = PasswordField(
        "Your passphrase, for this model",
        [InputRequired("Type your passphrase: a model is signed for. Nothing was adopted.")],
    )


class CompareForm(DeskForm):
    """Whether two registrations are of one person."""

    other = HiddenField(validators=[InputRequired()])
    answer = RadioField(
        "Are they the same person?",
        [InputRequired("Choose one. Nothing was changed.")],
        choices=[
            SelectChoice("different", "Two people: nothing stands in the way of an order"),
            SelectChoice("same", "The same person, registered twice: nothing is ordered"),
        ],
    )
    passphrase = PasswordField(
        "Your passphrase, for this answer",
        [InputRequired("Type your passphrase: an answer is signed for. Nothing was changed.")],
    )


class DecideApartForm(DeskForm):
    """A surgeon's decision about one record kept apart, and why."""

    decision = RadioField(
        "What becomes of it",
        [InputRequired("Choose one. Nothing was changed.")],
        choices=[
            SelectChoice("adopt", "Adopt it: it counts as if it had arrived in time"),
            SelectChoice("leave", "Leave it apart: it counts for nothing"),
        ],
    )
    reason = TextAreaField(
        "Why, without names of patients",
        [
            DataRequired("Say why: it stands beside the record for good. Nothing was changed."),
            Length(max=REASON_MAX_CHARS, message=f"At most {REASON_MAX_CHARS} characters."),
        ],
        [trimmed, one_kind_of_line],
    )
    passphrase = PasswordField(
        "Your passphrase, for this decision",
        [InputRequired("Type your passphrase: a decision is signed for. Nothing was changed.")],
    )


class DeclareGapForm(DeskForm):
    """What is known about records that will not come."""

    reason = TextAreaField(
        "What happened to them, without names of patients",
        [
            DataRequired("Say what happened: the loss is listed with it. Nothing was changed."),
            Length(max=REASON_MAX_CHARS, message=f"At most {REASON_MAX_CHARS} characters."),
        ],
        [trimmed, one_kind_of_line],
    )
    passphrase = PasswordField(
        "Your passphrase, for this declaration",
        [InputRequired("Type your passphrase: a loss is signed for. Nothing was changed.")],
    )


class WithdrawVaultModelForm(DeskForm):
    """A vault model that its surgeons no longer stand by, and why."""

    adoption = SelectField("Model", [InputRequired("Choose the model that is withdrawn.")])
    why = TextAreaField(
        "Why it is withdrawn",
        [
            DataRequired("Say why it is withdrawn. Nothing was changed."),
            Length(max=REASON_MAX_CHARS, message="At most 500 characters."),
        ],
        [trimmed, one_kind_of_line],
    )
    withdraw_passphrase = PasswordField(
        "Your passphrase, to withdraw it",
        [InputRequired("Type your passphrase: a withdrawal is signed for. Nothing was changed.")],
    )


class ConfirmPhoneForm(DeskForm):
    """The words were compared with the phone, and by whom."""

    same = BooleanField(
        "The phone in front of me shows the same eight words, in the same order",
        [DataRequired("Compare the words first, then say so. Nothing was changed.")],
    )
    passphrase = PasswordField(
        "Your passphrase, for this phone",
        [InputRequired("Type your passphrase: a phone is signed for. Nothing was changed.")],
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
    passphrase = PasswordField(
        "Your passphrase, for this revocation",
        [InputRequired("Type your passphrase: a revocation is signed for. The key still counts.")],
    )

    def validate_hands(self, field: Field) -> None:
        """Ask for the time exactly where somebody else may have had the phone."""
        if field.data == IN_OTHER_HANDS and not self.since.data:
            raise ValidationError("Give the earliest time it can have been. The key still counts.")
        if field.data == NOBODY_ELSE and self.since.data:
            raise ValidationError("A time is given, but nobody else: which is right?")
