"""The page on which the desk asks that an exchange of the lens in an eye be weighed."""

from flask import Blueprint, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry
from webapp.desk.eyes import eye_of
from webapp.desk.forms.follow_up import AskExchangeForm
from webapp.flow import asking, casefile
from webapp.flow.casefile import PersonFile
from webapp.flow.refusal import Refused

bp = Blueprint("exchange_asked", __name__, url_prefix="/desk/exchange")
bp.before_request(entry.require_sign_in)

EYE = "<any(R, L):eye>"


@bp.get(f"/<uuid:person>/{EYE}")
def eye(person: object, eye: str) -> ResponseReturnValue:
    """Show the lens in the eye, what was asked about it, and the form."""
    file = casefile.person_file(gate.current_actor(), str(person))
    return _page(file, eye, AskExchangeForm(formdata=None))


@bp.post(f"/<uuid:person>/{EYE}")
def keep(person: object, eye: str) -> ResponseReturnValue:
    """Keep one request, or show the page again with the reason."""
    actor, form = gate.current_actor(), AskExchangeForm()
    file = casefile.person_file(actor, str(person))
    if not form.validate_on_submit():
        return _page(file, eye, form, status=422)
    try:
        said = {"why": form.why.data, "note": form.note.data or None}
        asking.keep(actor, file.person, eye, said)
    except Refused as refusal:
        (form.note if refusal.field == "note" else form.why).errors = [refusal.message]
        return _page(file, eye, form, status=409)
    return redirect(url_for("case.show", person=file.person, eye=eye))


def _page(
    file: PersonFile, eye: str, form: AskExchangeForm, status: int = 200
) -> ResponseReturnValue:
    case = file.fold["eyes"][eye]
    in_eye = [one for one in case["surgeries"] if one["in_eye"]]
    page = render_template(
        "desk/exchange_asked.html",
        file=file,
        eye=eye_of(eye),
        exchange=case["exchange"],
        lens=in_eye[0] if len(in_eye) == 1 else None,
        may_ask=gate.current_actor().may("exchange.ask", file.site),
        form=form,
    )
    return page, status
