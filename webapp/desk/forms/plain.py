"""Forms that several pages share: a button, a passphrase, the theme."""

from wtforms import HiddenField
from wtforms.validators import InputRequired

from webapp.desk.forms.base import DeskForm
from webapp.desk.forms.fields import passphrase_field


class NoFieldsForm(DeskForm):
    """A button alone: only the token against forged requests."""


class ThemeForm(DeskForm):
    """Light paper or dusk, kept in this browser."""

    theme = HiddenField(validators=[InputRequired()])
    back = HiddenField()


class ConfirmForm(DeskForm):
    """One's own passphrase, for something that is not taken back lightly."""

    passphrase = passphrase_field(
        "Your passphrase",
        "Type your passphrase. Nothing was changed.",
    )
