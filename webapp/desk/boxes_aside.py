"""One box that was put aside in theatre: the desk says what became of it."""

from flask import Blueprint, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry
from webapp.desk.eyes import eye_of
from webapp.desk.forms.boxes_aside import AnswerForm
from webapp.desk.order_page import say_beside
from webapp.flow import boxes_aside
from webapp.flow.refusal import Refused

bp = Blueprint("boxes_aside", __name__, url_prefix="/desk/theatre/aside")
bp.before_request(entry.require_sign_in)

RECORD = "/<string(length=64):aside_id>"


@bp.get(RECORD)
def show(aside_id: str) -> ResponseReturnValue:
    """Ask what became of a box."""
    return _page(aside_id, AnswerForm(formdata=None))


@bp.post(RECORD)
def answer(aside_id: str) -> ResponseReturnValue:
    """Record what became of a box; it leaves the list."""
    form = AnswerForm()
    if not form.validate_on_submit():
        return _page(aside_id, form, 422)
    said = (form.becomes.data, form.note.data or None, form.passphrase.data or "")
    try:
        boxes_aside.answer(gate.current_actor(), aside_id, *said)
    except Refused as refusal:
        say_beside(form, refusal, "becomes")
        return _page(aside_id, form, 422)
    return redirect(url_for("theatre.show"))


def _page(aside_id: str, form: AnswerForm, status: int = 200) -> ResponseReturnValue:
    one = boxes_aside.find(gate.current_actor(), aside_id)
    page = render_template("desk/box_aside.html", one=one, eye=eye_of(one.eye), form=form)
    return page, status
