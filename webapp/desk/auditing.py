"""The auditor's pages: every case by number, whose one is after a reason, and worn cautions."""

from flask import Blueprint, render_template
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry
from webapp.desk.forms.people import IdentityForm
from webapp.desk.states import STATES
from webapp.flow import cautions_seen, pseudonymous

bp = Blueprint("auditing", __name__, url_prefix="/desk/cases")
bp.before_request(entry.require_sign_in)


@bp.get("")
def show() -> ResponseReturnValue:
    """List the cases without names."""
    return _page(_form(blank=True))


@bp.get("/cautions")
def cautions() -> ResponseReturnValue:
    """List the cautions with how often each was acknowledged."""
    lines = cautions_seen.listing(gate.current_actor())
    return render_template(
        "desk/cautions_seen.html",
        lines=lines,
        enough=cautions_seen.ENOUGH_CASES,
        percent=cautions_seen.MOST_PERCENT,
    )


@bp.post("/<uuid:person>/identity")
def identify(person: object) -> ResponseReturnValue:
    """Show whose case it is, this once."""
    form = _form()
    if not form.validate_on_submit():
        return _page(form, status=422)
    found = pseudonymous.identify(gate.current_actor(), str(person), form.reason.data)
    reason = pseudonymous.REASONS[form.reason.data]
    return render_template("desk/identity.html", found=found, number=str(person), reason=reason)


def _form(blank: bool = False) -> IdentityForm:
    form = IdentityForm(formdata=None) if blank else IdentityForm()
    form.reason.choices = list(pseudonymous.REASONS.items())
    return form


def _page(form: IdentityForm, status: int = 200) -> ResponseReturnValue:
    rows = pseudonymous.listing(gate.current_actor())
    page = render_template("desk/cases.html", rows=rows, states=STATES, form=form)
    return page, status
