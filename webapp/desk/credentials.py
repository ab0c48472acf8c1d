"""Passphrases: one's own changed, a colleague's made anew by two of the staff and its owner."""

from collections.abc import Callable

from flask import Blueprint, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk.forms.base import DeskForm
from webapp.desk.forms.plain import ConfirmForm, NoFieldsForm
from webapp.desk.forms.sign_in import NewPassphraseForm, OwnPassphraseForm, ProposeResetForm
from webapp.flow import credentials
from webapp.flow.refusal import Refused

bp = Blueprint("credentials", __name__, url_prefix="/desk")


@bp.get("/passphrase")
def own() -> ResponseReturnValue:
    """Ask for the present and the next passphrase."""
    return render_template("desk/passphrase.html", form=OwnPassphraseForm(formdata=None))


@bp.post("/passphrase")
def change_own() -> ResponseReturnValue:
    """Change one's own passphrase; every other session ends."""
    form = OwnPassphraseForm()
    if form.validate_on_submit() and _done(form, lambda: credentials.change_own(
        gate.current_actor(), g.signed_in.session_id, form.passphrase.data, form.new.data
    )):  # fmt: skip
        return redirect(url_for("worklist.show"))
    return render_template("desk/passphrase.html", form=form), 422


@bp.get("/new-passphrase")
def anew() -> ResponseReturnValue:
    """Ask for a name, the one-time code and a new passphrase; nobody needs to be signed in."""
    return render_template("desk/new_passphrase.html", form=NewPassphraseForm(formdata=None))


@bp.post("/new-passphrase")
def make_anew() -> ResponseReturnValue:
    """Set the passphrase of whoever holds the code."""
    form = NewPassphraseForm()
    if form.validate_on_submit() and _done(form, lambda: credentials.make_anew(
        form.name.data, form.code.data, form.new.data, request.remote_addr or ""
    )):  # fmt: skip
        return redirect(url_for("entry.sign_in_page"))
    return render_template("desk/new_passphrase.html", form=form), 422


@bp.get("/resets")
def resets() -> ResponseReturnValue:
    """Show what was proposed, and the form to propose."""
    return _resets(_propose_form(blank=True))


@bp.post("/resets")
def propose() -> ResponseReturnValue:
    """Propose that a colleague's passphrase is made anew."""
    form = _propose_form()
    if form.validate_on_submit() and _done(form, lambda: credentials.propose(
        gate.current_actor(), form.colleague.data, form.passphrase.data
    )):  # fmt: skip
        return redirect(url_for(".resets"))
    return _resets(form, status=422)


@bp.post("/resets/<string(length=16):proposal>/confirm")
def confirm(proposal: str) -> ResponseReturnValue:
    """Confirm another's proposal and show the code, this once."""
    form = ConfirmForm()
    made: list[tuple[str, str]] = []
    if form.validate_on_submit() and _done(form, lambda: made.append(
        credentials.confirm(gate.current_actor(), proposal, form.passphrase.data)
    )):  # fmt: skip
        name, code = made[0]
        return render_template("desk/reset_code.html", name=name, code=code)
    return _resets(_propose_form(blank=True), confirm_form=form, status=422)


@bp.post("/resets/<string(length=16):proposal>/withdraw")
def withdraw(proposal: str) -> ResponseReturnValue:
    """Take a proposal back, or refuse it."""
    if NoFieldsForm().validate_on_submit():
        credentials.withdraw(gate.current_actor(), proposal)
    return redirect(url_for(".resets"))


def _done(form: DeskForm, deed: Callable[[], None]) -> bool:
    """Do it; put what was refused beside its field and say whether it was done."""
    try:
        deed()
    except Refused as refusal:
        field = refusal.field
        if refusal.code == "sign_in.wait":
            # A wait is about what was tried too often and names no field itself.
            field = "passphrase" if "passphrase" in form else "code"
        if field not in form:
            raise
        form[field].errors = [refusal.message]
        return False
    return True


def _propose_form(blank: bool = False) -> ProposeResetForm:
    form = ProposeResetForm(formdata=None) if blank else ProposeResetForm()
    people = credentials.colleagues(gate.current_actor())
    form.colleague.choices = [(one.user_id, one.name) for one in people]
    return form


def _resets(
    form: ProposeResetForm, confirm_form: ConfirmForm | None = None, status: int = 200
) -> ResponseReturnValue:
    actor = gate.current_actor()
    page = render_template(
        "desk/resets.html",
        form=form,
        confirm_form=confirm_form or ConfirmForm(formdata=None),
        pending=credentials.pending(actor),
        me=actor.user_id,
    )
    return page, status
