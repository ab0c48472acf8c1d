"""The surgeon's page of vault models: those in force, one withdrawn, a new one read and adopted."""

import json
from typing import Any

from flask import Blueprint, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry
from webapp.desk.forms.adopting import (
    AdoptVaultModelForm,
    VaultModelFileForm,
    WithdrawVaultModelForm,
)
from webapp.flow import folding, reference, vault_model_file
from webapp.flow.refusal import Refused

LARGEST_BYTES = 50_000
DIAMETERS = {
    "white_to_white": "white-to-white",
    "sulcus_to_sulcus": "sulcus-to-sulcus",
}
FEATURES = {
    "one": "constant, µm",
    "excess_mm": "for each mm of length over the diameter, µm",
    "lens_rise_mm": "for each mm of lens rise, µm",
}

bp = Blueprint("vault_models", __name__, url_prefix="/desk/vault-models")
bp.before_request(entry.require_sign_in)


@bp.get("")
def show() -> ResponseReturnValue:
    """Show the models in force, who adopted each, and where to bring a new one."""
    return _page(VaultModelFileForm(formdata=None))


@bp.post("/look")
def look() -> ResponseReturnValue:
    """Read a model and show what it says, or what is wrong; nothing is adopted."""
    form = VaultModelFileForm()
    if not form.validate_on_submit():
        return _page(form, status=422)
    try:
        body = read(form.file.data.read(LARGEST_BYTES + 1))
    except Refused as refusal:
        form.file.errors = [f"{refusal.field}: {refusal.message}".removeprefix(": ")]
        return _page(form, status=422)
    offered = AdoptVaultModelForm(formdata=None)
    offered.body.data = json.dumps(body)
    return _page(form, body, offered)


@bp.post("/adopt")
def adopt() -> ResponseReturnValue:
    """Adopt the model that was shown, after the passphrase; it is checked again here."""
    form, blank = AdoptVaultModelForm(), VaultModelFileForm(formdata=None)
    body = read((form.body.data or "").encode("utf-8", "replace"))
    if not form.validate_on_submit():
        return _page(blank, body, form, status=422)
    actor = gate.current_actor()
    try:
        reference.adopt_confirmed(actor, folding.VAULT_MODEL, body, form.passphrase.data)
    except Refused as refusal:
        if refusal.field not in form:
            raise
        form[refusal.field].errors = [refusal.message]
        return _page(blank, body, form, status=422)
    return redirect(url_for(".show"))


@bp.post("/withdraw")
def withdraw() -> ResponseReturnValue:
    """Withdraw a model in force, after a written reason and the passphrase."""
    form, blank = withdrawal(), VaultModelFileForm(formdata=None)
    if not form.validate_on_submit():
        return _page(blank, leaving=form, status=422)
    actor = gate.current_actor()
    try:
        reference.withdraw_confirmed(
            actor, form.adoption.data, form.why.data, form.withdraw_passphrase.data
        )
    except Refused as refusal:
        fields = {"why": form.why, "passphrase": form.withdraw_passphrase}
        if refusal.field not in fields:
            raise
        fields[refusal.field].errors = [refusal.message]
        return _page(blank, leaving=form, status=422)
    return redirect(url_for(".show"))


def withdrawal(**given: object) -> WithdrawVaultModelForm:
    """Return the form that offers each model in force."""
    form = WithdrawVaultModelForm(**given)
    form.adoption.choices = [
        (model["id"], model["body"]["title"]) for model in folding.in_force()["vault_models"]
    ]
    return form


def read(data: bytes) -> dict[str, Any]:
    """Return the body that a file holds. Raises: Refused, where no plan could use it."""
    if len(data) > LARGEST_BYTES:
        raise Refused("file.bad", "The file is larger than 50 kB: no vault model is.")
    try:
        brought = json.loads(data.decode("utf-8-sig"))
    except (ValueError, RecursionError) as error:
        raise Refused("file.bad", "The file is not JSON in UTF-8.") from error
    if not isinstance(brought, dict):
        raise Refused("file.bad", "The file must hold one JSON object.")
    body = vault_model_file.body_of(brought)
    reference.require_vault_model(body)
    return body


def _page(
    file_form: VaultModelFileForm,
    body: dict[str, Any] | None = None,
    offered: AdoptVaultModelForm | None = None,
    status: int = 200,
    leaving: WithdrawVaultModelForm | None = None,
) -> ResponseReturnValue:
    """Return the page."""
    page = render_template(
        "desk/vault_models.html",
        in_force=[model["id"] for model in folding.in_force()["vault_models"]],
        versions=reference.versions(folding.VAULT_MODEL),
        withdrawn=reference.withdrawn(),
        leaving=leaving or withdrawal(formdata=None),
        file_form=file_form,
        body=body,
        offered=offered,
        diameters=DIAMETERS,
        features=FEATURES,
    )
    return page, status
