"""Joining two registrations of one person, both side by side, and separating them again."""

from flask import Blueprint, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry
from webapp.desk.eyes import BOTH
from webapp.desk.forms.deciding import JoinForm, SeparateForm
from webapp.flow import joining as flow
from webapp.flow.refusal import Refused
from webapp.records.kinds import KINDS

bp = Blueprint("joining", __name__, url_prefix="/desk")
bp.before_request(entry.require_sign_in)

SEXES = dict(KINDS["person.registered"].fields["sex"]["choices"])
PAIR = "/person/<uuid:person>/join/<uuid:other>"
JOINING = "/joining/<string(length=64):joining>"


@bp.get(PAIR)
def show(person: object, other: object) -> ResponseReturnValue:
    """Show two registrations side by side, and the form that joins them."""
    return _page(str(person), str(other), JoinForm(formdata=None))


@bp.post(PAIR)
def join(person: object, other: object) -> ResponseReturnValue:
    """Join them, or show the page again with what is not right."""
    form, pair = JoinForm(), (str(person), str(other))
    if not form.validate_on_submit():
        return _page(*pair, form, status=422)
    try:
        flow.join(gate.current_actor(), *pair, form.reason.data, form.passphrase.data)
    except Refused as refusal:
        return _page(*pair, form, status=409, refusal=refusal)
    return redirect(url_for("case.person", person=pair[0]))


@bp.get(JOINING)
def read(joining: str) -> ResponseReturnValue:
    """Show two joined registrations, and the form that separates them."""
    return _joined_page(joining, SeparateForm(formdata=None))


@bp.post(JOINING)
def separate(joining: str) -> ResponseReturnValue:
    """Separate them again, or show the page again with what is not right."""
    actor, form = gate.current_actor(), SeparateForm()
    if not form.validate_on_submit():
        return _joined_page(joining, form, status=422)
    try:
        person = flow.separate(actor, joining, form.reason.data, form.passphrase.data)
    except Refused as refusal:
        return _joined_page(joining, form, status=409, refusal=refusal)
    return redirect(url_for("case.person", person=person))


def _joined_page(
    record: str, form: SeparateForm, status: int = 200, refusal: Refused | None = None
) -> ResponseReturnValue:
    person, other = flow.pair_of(gate.current_actor(), record)
    return _page(person, other, form, status, refusal)


def _page(
    person: str,
    other: str,
    form: JoinForm | SeparateForm,
    status: int = 200,
    refusal: Refused | None = None,
) -> ResponseReturnValue:
    """Return the page of two registrations; a refusal of a field stands at that field."""
    halves = flow.both(gate.current_actor(), person, other)
    if refusal is not None and refusal.field in form:
        form[refusal.field].errors, refusal, status = [refusal.message], None, 422
    page = render_template(
        "desk/joining.html",
        halves=halves, eyes=BOTH, form=form, refusal=refusal, person=person,
        sexes=SEXES, joins=isinstance(form, JoinForm),
    )  # fmt: skip
    return page, status
