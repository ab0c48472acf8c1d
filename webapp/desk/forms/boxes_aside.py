"""What is typed of a box that was put aside: what became of it. Nothing is chosen beforehand."""

from wtforms import RadioField, TextAreaField
from wtforms.validators import InputRequired, Length, Optional

from webapp.desk.forms.base import DeskForm, one_kind_of_line, trimmed
from webapp.desk.forms.fields import REASON_MAX_CHARS, choices_of, passphrase_field
from webapp.records.kinds import KINDS

TOO_LONG = f"At most {REASON_MAX_CHARS} characters."


class AnswerForm(DeskForm):
    """What became of one box, and who says so."""

    becomes = RadioField(
        "What became of the box?",
        [InputRequired("Say what became of it. It is still put aside.")],
        choices=choices_of(KINDS["box.answered"].fields["becomes"]),
    )
    note = TextAreaField(
        "Note, if one is needed",
        [Optional(), Length(max=REASON_MAX_CHARS, message=TOO_LONG)],
        [trimmed, one_kind_of_line],
    )
    passphrase = passphrase_field(
        "Your passphrase, for this answer",
        "Type your passphrase: an answer is signed for. The box is still put aside.",
    )
