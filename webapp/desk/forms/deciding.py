"""What a person decides about registrations, records kept apart and gaps."""

from wtforms import HiddenField, RadioField, SelectChoice
from wtforms.validators import InputRequired

from webapp.desk.forms.base import DeskForm
from webapp.desk.forms.fields import passphrase_field, reason_field


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
    passphrase = passphrase_field(
        "Your passphrase, for this answer",
        "Type your passphrase: an answer is signed for. Nothing was changed.",
    )


class JoinForm(DeskForm):
    """That two registrations are of one person."""

    reason = reason_field(
        "How you know that they are one person, without names",
        "Say how you know: the reason stays with the joining. Nothing was changed.",
    )
    passphrase = passphrase_field(
        "Your passphrase, for this joining",
        "Type your passphrase: a joining is signed for. Nothing was changed.",
    )


class SeparateForm(DeskForm):
    """That two registrations are of two people after all."""

    reason = reason_field(
        "Why they are two people, without names",
        "Say why: the reason stays with the separation. Nothing was changed.",
    )
    passphrase = passphrase_field(
        "Your passphrase, for this proposal",
        "Type your passphrase: a separation is signed for. Nothing was changed.",
    )


class ConfirmSeparationForm(DeskForm):
    """That somebody else finds so too; the proposer's reason is kept with the separation."""

    passphrase = passphrase_field(
        "Your passphrase, for this separation",
        "Type your passphrase: a separation is signed for. Nothing was changed.",
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
    reason = reason_field(
        "Why, without names of patients",
        "Say why: it stands beside the record for good. Nothing was changed.",
    )
    passphrase = passphrase_field(
        "Your passphrase, for this decision",
        "Type your passphrase: a decision is signed for. Nothing was changed.",
    )


class DeclareGapForm(DeskForm):
    """What is known about records that will not come."""

    reason = reason_field(
        "What happened to them, without names of patients",
        "Say what happened: the loss is listed with it. Nothing was changed.",
    )
    passphrase = passphrase_field(
        "Your passphrase, for this declaration",
        "Type your passphrase: a loss is signed for. Nothing was changed.",
    )
