"""What an administrator types about people, and an auditor to learn whose case it is."""

from wtforms import PasswordField, SelectField, StringField
from wtforms.validators import DataRequired, InputRequired, Length

from webapp.desk.forms.base import DeskForm, printable, trimmed
from webapp.desk.forms.fields import passphrase_field


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
    # How long it must be is the account's rule; every new passphrase is held to the same one.
    passphrase = PasswordField(
        "First passphrase (12 characters or more)", [InputRequired("Type a first passphrase.")]
    )
    own_passphrase = passphrase_field(
        "Your own passphrase",
        "Type your own passphrase. Nobody was added.",
    )


class RoleForm(DeskForm):
    """One role at one site."""

    role = SelectField("Role", [InputRequired("Choose a role.")])
    site = SelectField("Site", [InputRequired("Choose a site.")])


class IdentityForm(DeskForm):
    """Why somebody asks whose case it is."""

    reason = SelectField("Why you need to know", [InputRequired("Choose a reason.")])
