"""One order: its standing, the supplier's reference, its sheet on paper and for machines."""

import json
from typing import Any

from flask import Blueprint, Response, current_app, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry, sheet_content, sheet_pdf
from webapp.desk.eyes import eye_of
from webapp.desk.forms.base import DeskForm
from webapp.desk.forms.ordering import CancelForm, ReferenceForm
from webapp.desk.forms.plain import NoFieldsForm
from webapp.desk.moments import now
from webapp.flow import casefile, device_list, order
from webapp.flow.order import OrderSheet
from webapp.flow.refusal import Refused

bp = Blueprint("order", __name__, url_prefix="/desk/order")
bp.before_request(entry.require_sign_in)

ORDER = "/<string(length=64):order_id>"


@bp.get(ORDER)
def show(order_id: str) -> ResponseReturnValue:
    """Show an order as it stands."""
    return _page(order_id, ReferenceForm(), CancelForm())


@bp.post(f"{ORDER}/reference")
def reference(order_id: str) -> ResponseReturnValue:
    """Record the supplier's reference."""
    form = ReferenceForm()
    if not form.validate_on_submit():
        return _page(order_id, form, CancelForm(formdata=None), status=422)
    try:
        order.add_reference(gate.current_actor(), order_id, form.supplier_reference.data)
    except Refused as refusal:
        _say_beside(form, refusal)
        return _page(order_id, form, CancelForm(formdata=None), status=422)
    return redirect(url_for(".show", order_id=order_id))


@bp.post(f"{ORDER}/cancel")
def cancel(order_id: str) -> ResponseReturnValue:
    """Cancel the order with a reason, or say why it still stands."""
    form = CancelForm()
    if not form.validate_on_submit():
        return _page(order_id, ReferenceForm(formdata=None), form, status=422)
    try:
        order.cancel(gate.current_actor(), order_id, form.reason.data, form.passphrase.data)
    except Refused as refusal:
        _say_beside(form, refusal)
        return _page(order_id, ReferenceForm(formdata=None), form, status=422)
    return redirect(url_for(".show", order_id=order_id))


@bp.post(f"{ORDER}/print")
def print_sheet(order_id: str) -> ResponseReturnValue:
    """Record one more printed copy, then show it."""
    if NoFieldsForm().validate_on_submit():
        order.record_print(gate.current_actor(), order_id)
    return redirect(url_for(".sheet", order_id=order_id))


@bp.get(f"{ORDER}/sheet.pdf")
def sheet(order_id: str) -> ResponseReturnValue:
    """Return the newest recorded copy on paper; before the first it is marked as a preview."""
    found = order.sheet(gate.current_actor(), order_id)
    content = _content(found, found.copies)
    fonts = current_app.config["FONTS_DIR"]
    response = Response(sheet_pdf.make_pdf(content, now(), fonts), content_type="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="order-{order_id[:12]}.pdf"'
    return response


@bp.get(f"{ORDER}.json")
def machine_readable(order_id: str) -> ResponseReturnValue:
    """Return what the sheet says as data, so that nobody retypes it."""
    content = _content(order.sheet(gate.current_actor(), order_id), copy=None)
    text = json.dumps(content, ensure_ascii=False, indent=1)
    response = Response(text, content_type="application/json; charset=utf-8")
    response.headers["Content-Disposition"] = f'attachment; filename="order-{order_id[:12]}.json"'
    return response


def _say_beside(form: DeskForm, refusal: Refused) -> None:
    """Put a refusal beside the field that it is about; raise it again when it is about none."""
    if refusal.field not in form:
        raise refusal
    form[refusal.field].errors = [refusal.message]


def _page(
    order_id: str, reference_form: ReferenceForm, cancel_form: CancelForm, status: int = 200
) -> ResponseReturnValue:
    """Return the order's page."""
    actor = gate.current_actor()
    found = order.sheet(actor, order_id)
    page = render_template(
        "desk/order.html",
        sheet=found,
        eye=eye_of(found.eye),
        content=_content(found, found.copies),
        may_change=actor.may("order.write", found.site),
        reference_form=reference_form,
        cancel_form=cancel_form,
        print_form=NoFieldsForm(formdata=None),
    )
    return page, status


def _content(found: OrderSheet, copy: int | None) -> dict[str, Any]:
    """Return what the sheet, the page and the machine-readable form all say."""
    actor = gate.current_actor()
    file = casefile.person_file(actor, found.person)
    plan = casefile.plan_now(actor, found.person, found.eye)
    findings = [*plan["findings"], *file.fold["eyes"][found.eye]["findings"]]
    around = sheet_content.Around(
        received=file.received,
        labels={device.kid: device.label for device in device_list.listing(actor)},
        words={finding["code"]: finding for finding in findings},
    )
    return sheet_content.content(found, around, copy)
