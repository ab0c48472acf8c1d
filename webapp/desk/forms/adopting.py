"""Catalogues and vault models: looked at first, then adopted or withdrawn in a person's name."""

from flask_wtf.file import FileField, FileRequired
from wtforms import BooleanField, HiddenField, SelectField, StringField
from wtforms.validators import DataRequired, InputRequired, Length

from webapp.desk.forms.base import DeskForm, printable, trimmed
from webapp.desk.forms.fields import passphrase_field, reason_field


class CatalogueFileForm(DeskForm):
    """A table of lens models to be looked at; sending it adopts nothing."""

    file = FileField("Catalogue as a CSV table", [FileRequired("Choose the CSV file.")])


class AdoptCatalogueForm(DeskForm):
    """The table that was looked at, its title, and the person who answers for it."""

    table = HiddenField(validators=[InputRequired("The table is missing. Choose the file again.")])
    title = StringField(
        "Title",
        [DataRequired("Give the catalogue a title."), Length(max=120), printable],
        [trimmed],
    )
    invented = BooleanField("Invented models, not for patients")
    passphrase = passphrase_field(
        "Your passphrase, for this catalogue",
        "Type your passphrase: a catalogue is signed for. Nothing was adopted.",
    )


class VaultModelFileForm(DeskForm):
    """A vault model to be looked at; sending it adopts nothing."""

    file = FileField("Vault model as JSON", [FileRequired("Choose the file.")])


class AdoptVaultModelForm(DeskForm):
    """The vault model that was looked at, and the surgeon who answers for it."""

    body = HiddenField(validators=[InputRequired("The model is missing. Choose the file again.")])
    passphrase = passphrase_field(
        "Your passphrase, for this model",
        "Type your passphrase: a model is signed for. Nothing was adopted.",
    )


class WithdrawVaultModelForm(DeskForm):
    """A vault model that its surgeons no longer stand by, and why."""

    adoption = SelectField("Model", [InputRequired("Choose the model that is withdrawn.")])
    why = reason_field(
        "Why it is withdrawn",
        "Say why it is withdrawn. Nothing was changed.",
    )
    withdraw_passphrase = passphrase_field(
        "Your passphrase, to withdraw it",
        "Type your passphrase: a withdrawal is signed for. Nothing was changed.",
    )
