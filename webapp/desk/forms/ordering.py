"""What is typed to place, name and end an order."""

from wtforms import HiddenField, StringField, TextAreaField
from wtforms.validators import DataRequired, InputRequired, Length, Optional

from webapp.desk.forms.base import DeskForm, one_kind_of_line, printable, trimmed
from webapp.desk.forms.fields import REASON_MAX_CHARS, passphrase_field, reason_field

REFERENCE_MAX_CHARS = 60
TOO_LONG = f"A supplier’s reference has at most {REFERENCE_MAX_CHARS} characters."


class PlaceOrderForm(DeskForm):
    """The order names the approval that was read; the lens itself can't be typed."""

    approval = HiddenField(validators=[InputRequired("The approval is missing. Open it again.")])
    supplier_reference = StringField(
        "Supplier’s reference, if already given",
        [
            Optional(),
            Length(
                max=REFERENCE_MAX_CHARS,
                message=f"{TOO_LONG} Nothing was ordered; shorten it and place the order again.",
            ),
            printable,
        ],
        [trimmed],
    )
    passphrase = passphrase_field(
        "Your passphrase, for this order",
        "Type your passphrase: an order is signed for by the person placing it.",
    )


class BatchForm(DeskForm):
    """Several orders signed for at once; which ones is ticked in the list."""

    passphrase = passphrase_field(
        "Your passphrase, for these orders",
        "Type your passphrase: orders are signed for by the person placing them. Nothing was "
        "ordered.",
    )


class ReferenceForm(DeskForm):
    """The number that the supplier gave to this order."""

    supplier_reference = StringField(
        "Supplier’s reference",
        [
            DataRequired("Type the supplier’s reference; nothing was changed."),
            Length(max=REFERENCE_MAX_CHARS, message=TOO_LONG),
            printable,
        ],
        [trimmed],
    )


class CancelForm(DeskForm):
    """Ending an order needs a reason and the person."""

    reason = reason_field(
        "Why it is cancelled",
        "Say why: surgeon and supplier will ask. The order still stands.",
    )
    supplier_reply = TextAreaField(
        "What the supplier answered",
        [
            Optional(),
            Length(max=REASON_MAX_CHARS, message=f"At most {REASON_MAX_CHARS} characters."),
        ],
        [trimmed, one_kind_of_line],
    )
    passphrase = passphrase_field(
        "Your passphrase, for this cancellation",
        "Type your passphrase: a cancellation is signed for. The order stands.",
    )
