"""Who is at the desk, and the passphrases of people."""

from wtforms import HiddenField, PasswordField, SelectField, StringField
from wtforms.validators import DataRequired, InputRequired, Length

from webapp.desk.forms.base import DeskForm, trimmed
from webapp.desk.forms.fields import passphrase_field
from webapp.desk.forms.plain import ConfirmForm


class SignInForm(DeskForm):
    """Who is at the desk."""

    name = StringField(
        "Sign-in name", [DataRequired("Type your sign-in name."), Length(max=60)], [trimmed]
    )
    passphrase = passphrase_field("Passphrase", "Type your passphrase.")
    next = HiddenField()


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
