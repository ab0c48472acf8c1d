"""The theatre's list: who is operated on which day, whether each lens is ready, and its sheet."""

from datetime import date

from flask import Blueprint, Response, current_app, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry, theatre_paper
from webapp.desk.eyes import eye_of
from webapp.desk.forms.base import DeskForm
from webapp.desk.forms.theatre import MoveForm, OffForm, PutForm
from webapp.desk.moments import now
from webapp.desk.order_page import say_beside
from webapp.flow import boxes_aside, theatre_list
from webapp.flow.refusal import Refused
from webapp.flow.theatre_list import Answer

bp = Blueprint("theatre", __name__, url_prefix="/desk/theatre")
bp.before_request(entry.require_sign_in)

ORDER = "/<string(length=64):order_id>"
LONGEST_CODE = 400


@bp.get("")
def show() -> ResponseReturnValue:
    """Show the list of a day, and what could be put on one."""
    return _page(PutForm(formdata=None), [], [])


@bp.post("")
def put() -> ResponseReturnValue:
    """Put the ticked eyes on the list of a day, each alone, and say of each what came of it."""
    form = PutForm()
    chosen = [one for one in request.form.getlist("order")[: theatre_list.MOST] if one]
    if not form.validate_on_submit():
        return _page(form, chosen, [], 422)
    if not chosen:
        form.passphrase.errors = ["Tick the eyes to put on the list. Nothing was changed."]
        return _page(form, chosen, [], 422)
    day, place = form.operate_on.data.isoformat(), form.place.data or None
    actor = gate.current_actor()
    try:
        answers = theatre_list.put(actor, chosen, day, place, form.passphrase.data)
    except Refused as refusal:
        say_beside(form, refusal, "passphrase")
        return _page(form, chosen, [], 422)
    return _page(PutForm(formdata=None), [], answers, day=day)


@bp.get("/list.pdf")
def paper() -> ResponseReturnValue:
    """Return the list of a day with a sheet for each eye that is ready."""
    day = _day()
    eyes = theatre_list.on(gate.current_actor(), day)
    sheets = [theatre_paper.sheet_of(one) for one in eyes]
    made = theatre_paper.make_pdf(day, sheets, now(), current_app.config["FONTS_DIR"])
    response = Response(made, content_type="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="theatre-{day}.pdf"'
    return response


@bp.get("/sheet")
def sheet() -> ResponseReturnValue:
    """Say whether the sheet whose code was read still holds."""
    code = request.args.get("code", "").strip()[:LONGEST_CODE]
    said = theatre_list.read_sheet(gate.current_actor(), code) if code else None
    return render_template("desk/theatre_sheet.html", said=said, code=code)


@bp.get(ORDER)
def eye(order_id: str) -> ResponseReturnValue:
    """Ask where an eye is moved to, or why it is taken off."""
    return _eye_page(order_id)


@bp.post(f"{ORDER}/move")
def move(order_id: str) -> ResponseReturnValue:
    """Move an eye to another day or place."""
    form = MoveForm()
    if not form.validate_on_submit():
        return _eye_page(order_id, form)
    day, place = form.operate_on.data.isoformat(), form.place.data or None
    said = (form.reason.data or "", form.passphrase.data or "")
    try:
        theatre_list.move(gate.current_actor(), order_id, day, place, *said)
    except Refused as refusal:
        say_beside(form, refusal, "reason")
        return _eye_page(order_id, form)
    return redirect(url_for(".show", day=day))


@bp.post(f"{ORDER}/off")
def off(order_id: str) -> ResponseReturnValue:
    """Take an eye off its list."""
    form = OffForm()
    if not form.validate_on_submit():
        return _eye_page(order_id, form)
    said = (form.off_reason.data or "", form.off_passphrase.data or "")
    try:
        theatre_list.take_off(gate.current_actor(), order_id, *said)
    except Refused as refusal:
        wrong = form.off_passphrase if refusal.field == "passphrase" else form.off_reason
        wrong.errors = [refusal.message]
        return _eye_page(order_id, form)
    return redirect(url_for(".show"))


def _day() -> str:
    """Return the day asked for; today where it is none."""
    try:
        return date.fromisoformat(request.args.get("day", "")).isoformat()
    except ValueError:
        return now().date().isoformat()


def _page(
    form: PutForm, chosen: list[str], answers: list[Answer], status: int = 200, day: str = ""
) -> ResponseReturnValue:
    """Return the page of a day, with what came of the eyes that were just put on a list."""
    actor, day = gate.current_actor(), day or _day()
    may_write = actor.may(theatre_list.WRITE)
    page = render_template(
        "desk/theatre.html",
        day=day,
        today=now().date().isoformat(),
        days=theatre_list.days(actor, min(day, now().date().isoformat())),
        eyes=theatre_list.on(actor, day),
        aside=boxes_aside.waiting(actor),
        off=theatre_list.off(actor) if may_write else [],
        chosen=chosen,
        answers=answers,
        eye_of=eye_of,
        may_write=may_write,
        may_read_order=actor.may("order.read"),
        form=form,
    )
    return page, status


def _eye_page(order_id: str, sent: DeskForm | None = None) -> ResponseReturnValue:
    """Return the page on which one eye is moved or taken off, with the form that was sent."""
    found = theatre_list.find(gate.current_actor(), order_id)
    page = render_template(
        "desk/theatre_eye.html",
        one=found,
        eye=eye_of(found.eye),
        move_form=sent if isinstance(sent, MoveForm) else MoveForm(formdata=None),
        off_form=sent if isinstance(sent, OffForm) else OffForm(formdata=None),
    )
    return page, 200 if sent is None else 422
