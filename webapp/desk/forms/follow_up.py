"""What the desk says about an operated eye: an urgent reading, a call, an exchange to weigh."""

from datetime import timedelta

from wtforms import DateField, HiddenField, RadioField, SelectChoice, TextAreaField
from wtforms.validators import InputRequired, Length, Optional, ValidationError

from webapp.desk.forms.base import DeskForm, one_kind_of_line, trimmed
from webapp.desk.forms.fields import REASON_MAX_CHARS, passphrase_field, reason_field
from webapp.flow import clock
from webapp.records.kinds import KINDS


def not_over(form: DeskForm, field: DateField) -> None:
    """Refuse a day that is over everywhere: nobody can come on it any more."""
    if field.data is not None and field.data < clock.utc_now().date() - timedelta(days=1):
        raise ValidationError("That day is over. Nothing was kept.")


def within_a_year(form: DeskForm, field: DateField) -> None:
    """Refuse a slip in the year: an urgent eye would wait until then, and be called by nobody."""
    if field.data is not None and field.data > clock.utc_now().date() + timedelta(days=366):
        raise ValidationError("That is over a year from now. Check the year. Nothing was kept.")


def day_agreed(label: str) -> DateField:
    """Return the field for the day on which somebody is to be seen again."""
    return DateField(label, [Optional(), not_over, within_a_year])


class AnswerUrgentForm(DeskForm):
    """What is done about the urgent readings on the page, and by whom."""

    readings = HiddenField(validators=[InputRequired()])
    text = reason_field(
        "What is done about it, and by whom",
        "Say what is done and by whom: the camp reads it. Nothing was changed.",
    )
    comes_on = day_agreed("Comes back on, if a day was agreed")
    passphrase = passphrase_field(
        "Your passphrase, for this answer",
        "Type your passphrase: an answer is signed for. Nothing was changed.",
    )


class ContactForm(DeskForm):
    """One try to bring somebody back for a visit."""

    how = RadioField(
        "How",
        [InputRequired("Choose how. Nothing was kept.")],
        choices=[
            SelectChoice("phone", "By phone"),
            SelectChoice("message", "By a message"),
            SelectChoice("visit", "At home"),
            SelectChoice("other_person", "Through somebody else"),
        ],
    )
    reached = RadioField(
        "Reached?",
        [InputRequired("Say whether the person was reached. Nothing was kept.")],
        choices=[SelectChoice("yes", "Yes"), SelectChoice("no", "No")],
    )
    text = TextAreaField(
        "Note, if there is something to add",
        [Optional(), Length(max=REASON_MAX_CHARS, message="At most 500 characters.")],
        [trimmed, one_kind_of_line],
    )
    comes_on = day_agreed("Comes on, if a day was agreed")


class AskExchangeForm(DeskForm):
    """Why an exchange of the lens in an eye should be weighed."""

    why = RadioField(
        "Why",
        [InputRequired("Choose why. Nothing was kept.")],
        choices=[
            SelectChoice(code, words)
            for code, words in KINDS["exchange.asked"].fields["why"]["choices"]
        ],
    )
    note = TextAreaField(
        "What was seen, and how urgent it is",
        [Optional(), Length(max=REASON_MAX_CHARS, message="At most 500 characters.")],
        [trimmed, one_kind_of_line],
    )
