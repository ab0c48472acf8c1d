"""What an administrator types to propose that a calculation core be recalled."""

from wtforms import PasswordField, StringField, TextAreaField
from wtforms.validators import DataRequired, InputRequired, Length

from webapp.desk.forms import REASON_MAX_CHARS, DeskForm, one_kind_of_line, trimmed


class RecallForm(DeskForm):
    """Which calculation core is recalled, and why; another administrator confirms."""

    core = StringField(
        "Core",
        [DataRequired("Give the name of the core. Nothing was changed."), Length(max=100)],
        [trimmed],
    )
    why = TextAreaField(
        "Why it is recalled",
        [
            DataRequired("Say why it is recalled. Nothing was changed."),
            Length(max=REASON_MAX_CHARS, message="At most 500 characters."),
        ],
        [trimmed, one_kind_of_line],
    )
    recall_passphrase = PasswordField(
        "Your passphrase, to propose it",
        [InputRequired("Type your passphrase: a recall is signed for. Nothing was changed.")],
    )
