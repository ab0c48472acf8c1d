"""Urgent readings of one eye after surgery: the values, who was told, and the answer."""

from flask import Blueprint, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry
from webapp.desk.eyes import eye_of
from webapp.desk.forms.follow_up import AnswerUrgentForm
from webapp.flow import casefile, urgent
from webapp.flow.casefile import PersonFile
from webapp.flow.refusal import Refused
from webapp.flow.urgent import Answer
from webapp.records.kinds import KINDS

bp = Blueprint("urgent", __name__, url_prefix="/desk/urgent")
bp.before_request(entry.require_sign_in)

EYE = "<any(R, L):eye>"


@bp.get(f"/<uuid:person>/{EYE}")
def show(person: object, eye: str) -> ResponseReturnValue:
    """Show what is urgent in an eye, and what was said about it."""
    file = casefile.person_file(gate.current_actor(), str(person))
    return _page(file, eye, AnswerUrgentForm(formdata=None))


@bp.post(f"/<uuid:person>/{EYE}")
def answer(person: object, eye: str) -> ResponseReturnValue:
    """Keep the answer, or show the page again with the reason."""
    actor, form = gate.current_actor(), AnswerUrgentForm()
    file = casefile.person_file(actor, str(person))
    if not form.validate_on_submit():
        return _page(file, eye, form, status=422)
    readings = (form.readings.data or "").split()
    said = Answer(form.text.data or "", form.comes_on.data)
    try:
        urgent.answer(actor, file.person, eye, readings, said, form.passphrase.data or "")
    except Refused as refusal:
        wrong = form[refusal.field] if refusal.field in ("passphrase", "comes_on") else form.text
        wrong.errors = [refusal.message]
        return _page(casefile.person_file(actor, file.person), eye, form, status=422)
    return redirect(url_for(".show", person=file.person, eye=eye))


def _page(
    file: PersonFile, eye: str, form: AnswerUrgentForm, status: int = 200
) -> ResponseReturnValue:
    items = file.fold["eyes"][eye]["urgent"]
    page = render_template(
        "desk/urgent.html",
        file=file,
        eye=eye_of(eye),
        items=items,
        waiting=[one for one in items if one["open"]],
        may_answer=gate.current_actor().may("urgent.answer", file.site),
        form=form,
        how=dict(KINDS["urgent.told"].fields["how"]["choices"]),
    )
    return page, status
