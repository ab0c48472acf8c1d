"""The box that came for an order: read by one person, read again by another, side by side."""

import json
from datetime import date
from typing import Any

from flask import Blueprint, Response, current_app, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry, shelf_label
from webapp.desk.eyes import eye_of, other_eye
from webapp.desk.forms.base import DeskForm
from webapp.desk.forms.box import BoxForm, SecondForm
from webapp.desk.moments import now
from webapp.flow import box, order
from webapp.flow.box import BadInput, Read, Second
from webapp.flow.refusal import NotFound, Refused
from webapp.records.errors import BadRecord
from webapp.records.kinds import check_shape

bp = Blueprint("box", __name__, url_prefix="/desk/order/<string(length=64):order_id>/box")
bp.before_request(entry.require_sign_in)

OF_SECOND = {"sign_in.wrong": "passphrase", "sign_in.wait": "passphrase", "label.second": "name"}


@bp.get("")
def show(order_id: str) -> ResponseReturnValue:
    """Ask for the code and the label; nothing of the order is filled in, or shown."""
    box.require_open(gate.current_actor(), order_id)
    return _first_page(order_id, BoxForm(formdata=None))


@bp.post("")
def first(order_id: str) -> ResponseReturnValue:
    """Compare the first reading: a difference is recorded and shown, else somebody reads again."""
    form = BoxForm()
    if not form.validate_on_submit():
        return _first_page(order_id, form, 422)
    actor = gate.current_actor()
    read = Read(
        form.code.data or None, form.label(), _day(form.device_day.data), form.code_by.data
    )  # fmt: skip
    try:
        answer = box.compare(actor, order_id, read)
    except BadInput as problem:
        _say(form, problem.field, problem.message)
        return _first_page(order_id, form, 422)
    if answer["outcome"] == "differs":
        check = box.check(actor, order_id, read, None)
        return redirect(url_for(".checked", order_id=order_id, check_id=check))
    again = SecondForm(formdata=None)
    again.read.data = json.dumps(read._asdict())
    again.ask_only(answer["second_reads"])
    return _second_page(order_id, again)


@bp.post("/again")
def second(order_id: str) -> ResponseReturnValue:
    """Record the check by both readings, and show it."""
    actor, form = gate.current_actor(), SecondForm()
    box.require_open(actor, order_id)
    read = _first_reading(form.read.data or "")
    if read is None:
        return redirect(url_for(".show", order_id=order_id))
    try:
        form.ask_only(box.compare(actor, order_id, read)["second_reads"])
    except BadInput:
        return redirect(url_for(".show", order_id=order_id))
    if not form.validate_on_submit():
        return _second_page(order_id, form, 422)
    said = Second(form.name.data, form.passphrase.data, form.label())
    try:
        check = box.check(actor, order_id, read, said)
    except Refused as refusal:
        if refusal.code not in OF_SECOND:
            raise
        _say(form, OF_SECOND[refusal.code], refusal.message)
        return _second_page(order_id, form, 422)
    return redirect(url_for(".checked", order_id=order_id, check_id=check))


@bp.get("/<string(length=64):check_id>")
def checked(order_id: str, check_id: str) -> ResponseReturnValue:
    """Show a recorded check: what differs first, and no way past it."""
    actor = gate.current_actor()
    found = box.find(actor, check_id)
    if found.order_id != order_id:
        raise NotFound("check")
    rows = sorted(found.answer["rows"], key=lambda row: row["outcome"] != "differs")
    fellow = other_eye(found.eye)
    return render_template(
        "desk/box_checked.html", **_around(order_id), check=found, rows=rows, fellow=fellow,
        agrees=found.answer["outcome"] == "agrees",
    )  # fmt: skip


@bp.get("/<string(length=64):check_id>/shelf.pdf")
def shelf(order_id: str, check_id: str) -> ResponseReturnValue:
    """Return the label for the shelf of a box that is verified now."""
    found = box.require_verified(gate.current_actor(), check_id)
    sheet = order.sheet(gate.current_actor(), found.order_id)
    content = shelf_label.Shelf(
        found, eye_of(sheet.eye), sheet.number, sheet.person_body["camp_code"], sheet.site_title
    )
    fonts = current_app.config["FONTS_DIR"]
    response = Response(shelf_label.make_pdf(content, now(), fonts), content_type="application/pdf")
    name = f"shelf-{check_id[:12]}.pdf"
    response.headers["Content-Disposition"] = f'inline; filename="{name}"'
    return response


def _first_reading(text: str) -> Read | None:
    """Return what the first person read, as the page carried it; None where it was altered."""
    try:
        carried = json.loads(text)
    except (json.JSONDecodeError, RecursionError):
        return None
    if not isinstance(carried, dict) or carried.keys() != set(Read._fields):
        return None
    read = Read(**carried)
    return read if _is_whole(read) else None


def _is_whole(read: Read) -> bool:
    try:
        check_shape("box_label", read.label)
    except BadRecord:
        return False
    has_day = read.device_day is None or _day(str(read.device_day)) == read.device_day
    return has_day and isinstance(read.code, str | None) and read.code_by in ("reader", "keys")


def _day(text: str | None) -> str | None:
    """Return the day that the browser's clock says, None where it does not say one."""
    try:
        return date.fromisoformat(text or "").isoformat()
    except ValueError:
        return None


def _say(form: DeskForm, field: str, message: str) -> None:
    """Put a sentence beside the field that it is about; at the code where it is about none."""
    name = field.rsplit(".", maxsplit=1)[-1]
    form[name if name in form else "code"].errors = [message]


def _first_page(order_id: str, form: BoxForm, status: int = 200) -> ResponseReturnValue:
    return render_template("desk/box.html", **_around(order_id), form=form), status


def _second_page(order_id: str, form: SecondForm, status: int = 200) -> ResponseReturnValue:
    return render_template("desk/box_again.html", **_around(order_id), form=form), status


def _around(order_id: str) -> dict[str, Any]:
    """Return what the pages of a box say of its order: whose it is, and never what it is."""
    sheet = order.sheet(gate.current_actor(), order_id)
    return {"sheet": sheet, "eye": eye_of(sheet.eye)}
