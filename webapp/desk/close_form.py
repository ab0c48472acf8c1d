"""What is said to close a key whose phone lost it."""

from wtforms import BooleanField, PasswordField
from wtforms.validators import DataRequired, InputRequired

from webapp.desk.forms import DeskForm


class CloseKeyForm(DeskForm):
    """That the key is gone from its phone, and who says so."""

    gone = BooleanField(
        "The phone’s storage was cleared, or this key is used no more",
        [DataRequired("Say that the key is gone first. It still counts.")],
    )
    passphrase = PasswordField(
        "Your passphrase, to close it",
        [InputRequired("Type your passphrase: a closing is signed for. The key still counts.")],
    )
