"""The page of calculation cores: which are known here, and recalling one by two administrators."""

from flask import Blueprint, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.core_bundle import core_sha256
from webapp.desk import entry
from webapp.desk.forms.phones import RecallForm
from webapp.desk.forms.plain import ConfirmForm, NoFieldsForm
from webapp.flow import recalling
from webapp.flow.refusal import Refused

bp = Blueprint("cores", __name__, url_prefix="/desk/cores")
bp.before_request(entry.require_sign_in)


@bp.get("")
def show() -> ResponseReturnValue:
    """List the cores, the recalls that wait, and the form to propose one."""
    return _page(RecallForm(formdata=None))


@bp.post("")
def propose() -> ResponseReturnValue:
    """Propose a recall; another administrator confirms it."""
    form = RecallForm()
    if not form.validate_on_submit():
        return _page(form, status=422)
    actor = gate.current_actor()
    try:
        recalling.propose(actor, form.core.data, form.why.data, form.recall_passphrase.data)
    except Refused as refusal:
        fields = {"core": form.core, "why": form.why, "passphrase": form.recall_passphrase}
        if refusal.field not in fields:
            raise
        fields[refusal.field].errors = [refusal.message]
        return _page(form, status=422)
    return redirect(url_for(".show"))


@bp.post("/proposals/<string(length=16):proposal>/confirm")
def confirm(proposal: str) -> ResponseReturnValue:
    """Confirm another administrator's proposal; the core is recalled at once."""
    form = ConfirmForm()
    if not form.validate_on_submit():
        return _page(RecallForm(formdata=None), form, status=422)
    try:
        recalling.confirm(gate.current_actor(), proposal, form.passphrase.data)
    except Refused as refusal:
        if refusal.field != "passphrase":
            raise
        form.passphrase.errors = [refusal.message]
        return _page(RecallForm(formdata=None), form, status=422)
    return redirect(url_for(".show"))


@bp.post("/proposals/<string(length=16):proposal>/withdraw")
def withdraw(proposal: str) -> ResponseReturnValue:
    """Take a proposal back, or refuse it."""
    if NoFieldsForm().validate_on_submit():
        recalling.withdraw(gate.current_actor(), proposal)
    return redirect(url_for(".show"))


def _page(
    form: RecallForm, passphrase: ConfirmForm | None = None, status: int = 200
) -> ResponseReturnValue:
    """Return the page."""
    actor = gate.current_actor()
    page = render_template(
        "desk/cores.html",
        cores=recalling.known(),
        pending=recalling.pending(),
        in_use=core_sha256(),
        me=actor.user_id,
        may_recall=actor.may(recalling.ACTION),
        form=form,
        confirm_form=passphrase or ConfirmForm(formdata=None),
    )
    return page, status
