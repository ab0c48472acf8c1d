"""What the desk types: every field says when it is missing and what it is for."""

from flask_wtf import FlaskForm
from wtforms import HiddenField, PasswordField, SelectField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length, Optional

REFERENCE_MAX_CHARS = 60
REASON_MAX_CHARS = 500


class DeskForm(FlaskForm):  # type: ignore[misc]  # the library publishes no types
    """A form of the desk; the token against forged requests comes with every one."""


class SignInForm(DeskForm):
    """Who is at the desk."""

    name = StringField("Sign-in name", [InputRequired("Type your sign-in name."), Length(max=60)])
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
        ],
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
            InputRequired("Type the supplier’s reference; nothing was changed."),
            Length(
                max=REFERENCE_MAX_CHARS,
                message=f"A supplier’s reference has at most {REFERENCE_MAX_CHARS} characters.",
            ),
        ],
    )


class CancelForm(DeskForm):
    """Ending an order needs a reason and the person."""

    reason = TextAreaField(
        "Why it is cancelled",
        [
            InputRequired("Say why: surgeon and supplier will ask. The order still stands."),
            Length(max=REASON_MAX_CHARS, message=f"At most {REASON_MAX_CHARS} characters."),
        ],
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
        "Name, as it stands on approvals", [InputRequired("Type the name."), Length(max=80)]
    )
    sign_in_name = StringField(
        "Sign-in name", [InputRequired("Type a sign-in name."), Length(min=2, max=40)]
    )
    passphrase = PasswordField(
        "First passphrase (15 characters or more)",
        [
            InputRequired("Type a first passphrase."),
            Length(min=15, max=200, message="A passphrase has at least 15 characters."),
        ],
    )


class RoleForm(DeskForm):
    """One role at one site."""

    role = SelectField("Role", [InputRequired("Choose a role.")])
    site = SelectField("Site", [InputRequired("Choose a site.")])
