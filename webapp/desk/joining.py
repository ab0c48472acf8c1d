"""Joining two registrations of one person, both side by side, and separating them again."""

from flask import Blueprint, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry
from webapp.desk.eyes import BOTH
from webapp.desk.forms.deciding import ConfirmSeparationForm, JoinForm, SeparateForm
from webapp.flow import joining as flow
from webapp.flow.refusal import Refused
from webapp.flow.two_people import Proposal
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
    """Show two joined registrations, and what the next person may do about them."""
    return _joined_page(joining, _next_form(joining, filled=False))


@bp.post(JOINING)
def separate(joining: str) -> ResponseReturnValue:
    """Propose to separate them, or confirm what somebody else proposed."""
    actor, form = gate.current_actor(), _next_form(joining, filled=True)
    if not form.validate_on_submit():
        return _joined_page(joining, form, status=422)
    try:
        if isinstance(form, SeparateForm):
            said = (form.reason.data, form.passphrase.data)
            flow.propose_separation(actor, joining, *said)
            return redirect(url_for(".read", joining=joining))
        person = flow.confirm_separation(actor, joining, form.passphrase.data)
    except Refused as refusal:
        return _joined_page(joining, form, status=409, refusal=refusal)
    return redirect(url_for("case.person", person=person))


def _next_form(joining: str, *, filled: bool) -> SeparateForm | ConfirmSeparationForm:
    """Return the form that proposes, or the one that confirms where a proposal waits."""
    waiting = flow.separation(gate.current_actor(), joining)
    kind = ConfirmSeparationForm if waiting else SeparateForm
    return kind() if filled else kind(formdata=None)


def _joined_page(
    record: str,
    form: SeparateForm | ConfirmSeparationForm,
    status: int = 200,
    refusal: Refused | None = None,
) -> ResponseReturnValue:
    actor = gate.current_actor()
    person, other = flow.pair_of(actor, record)
    return _page(person, other, form, status, refusal, flow.separation(actor, record))


def _page(
    person: str,
    other: str,
    form: JoinForm | SeparateForm | ConfirmSeparationForm,
    status: int = 200,
    refusal: Refused | None = None,
    proposed: Proposal | None = None,
) -> ResponseReturnValue:
    """Return the page of two registrations; a refusal of a field stands at that field."""
    halves = flow.both(gate.current_actor(), person, other)
    if refusal is not None and refusal.field in form:
        form[refusal.field].errors, refusal, status = [refusal.message], None, 422
    page = render_template(
        "desk/joining.html",
        halves=halves, eyes=BOTH, form=form, refusal=refusal, person=person,
        sexes=SEXES, joins=isinstance(form, JoinForm), proposed=proposed,
        is_own=proposed is not None and proposed.by == gate.current_actor().user_id,
    )  # fmt: skip
    return page, status
