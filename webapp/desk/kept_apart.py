"""The page of what is kept apart: who wrote it, what it says, why it was refused, and a decision.

One record at a time has a page and a form of its own; there is no way to decide several at once.
"""

from flask import Blueprint, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from flask_wtf import FlaskForm

from webapp.access import gate
from webapp.desk import apart_words, entry
from webapp.desk.forms.deciding import DecideApartForm, DeclareGapForm
from webapp.flow import chain_gaps, kept_apart, people
from webapp.flow.chain_gaps import OpenGap
from webapp.flow.kept_apart import Apart
from webapp.flow.refusal import NotFound, Refused

bp = Blueprint("kept_apart", __name__, url_prefix="/desk/kept-apart")
bp.before_request(entry.require_sign_in)


@bp.get("")
def show() -> ResponseReturnValue:
    """List what is kept apart, the gaps that are open, and what was declared lost."""
    actor = gate.current_actor()
    return render_template(
        "desk/kept_apart.html",
        rows=kept_apart.listing(actor),
        gaps=chain_gaps.open_gaps(actor),
        losses=chain_gaps.known_losses(actor),
        words=apart_words,
        may_declare=actor.may("gap.declare"),
        sites=dict(people.sites()),
    )


@bp.get("/<string(length=64):record_id>")
def read(record_id: str) -> ResponseReturnValue:
    """Show one record with everything it says, and the form for those who decide."""
    return _record_page(_found(record_id), DecideApartForm(formdata=None))


@bp.post("/<string(length=64):record_id>")
def decide(record_id: str) -> ResponseReturnValue:
    """Adopt this record or leave it apart."""
    found, form = _found(record_id), DecideApartForm()
    if not form.validate_on_submit():
        return _record_page(found, form, status=422)
    said = (form.decision.data, form.reason.data, form.passphrase.data)
    try:
        kept_apart.decide(gate.current_actor(), record_id, *said)
    except Refused as refusal:
        if not _shown_at(form, refusal):
            raise
        return _record_page(found, form, status=422)
    return redirect(url_for(".show"))


@bp.get("/gaps/<string(length=64):kid>")
def read_gap(kid: str) -> ResponseReturnValue:
    """Show what is missing in one device's records, and the form that declares it lost."""
    return _gap_page(_gap(kid), DeclareGapForm(formdata=None))


@bp.post("/gaps/<string(length=64):kid>")
def declare_gap(kid: str) -> ResponseReturnValue:
    """Declare the missing records of this device lost."""
    found, form = _gap(kid), DeclareGapForm()
    if not form.validate_on_submit():
        return _gap_page(found, form, status=422)
    try:
        chain_gaps.declare(gate.current_actor(), kid, form.reason.data, form.passphrase.data)
    except Refused as refusal:
        if not _shown_at(form, refusal):
            raise
        return _gap_page(found, form, status=422)
    return redirect(url_for(".show"))


def _shown_at(form: FlaskForm, refusal: Refused) -> bool:
    """Put a refusal at the field it is about and say whether there is one."""
    if refusal.field not in form:
        return False
    form[refusal.field].errors = [refusal.message]
    return True


def _found(record_id: str) -> Apart:
    return kept_apart.find(gate.current_actor(), record_id)


def _gap(kid: str) -> OpenGap:
    found = [gap for gap in chain_gaps.open_gaps(gate.current_actor()) if gap.kid == kid]
    if not found:
        raise NotFound("gap")
    return found[0]


def _record_page(found: Apart, form: DecideApartForm, status: int = 200) -> ResponseReturnValue:
    may_decide = gate.current_actor().may("apart.decide", found.site)
    page = render_template(
        "desk/kept_apart_record.html",
        one=found, form=form, words=apart_words, may_decide=may_decide, sites=dict(people.sites()),
    )  # fmt: skip
    return page, status


def _gap_page(gap: OpenGap, form: DeclareGapForm, status: int = 200) -> ResponseReturnValue:
    return render_template("desk/chain_gap.html", gap=gap, form=form), status
