"""One order: its standing, the supplier's reference, its sheet on paper and for machines."""

import json

from flask import Blueprint, Response, current_app, redirect, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry, order_page, sheet_pdf
from webapp.desk.forms.ordering import CancelForm, ReferenceForm
from webapp.desk.forms.plain import NoFieldsForm
from webapp.desk.moments import now
from webapp.flow import order
from webapp.flow.refusal import Refused

bp = Blueprint("order", __name__, url_prefix="/desk/order")
bp.before_request(entry.require_sign_in)

ORDER = "/<string(length=64):order_id>"


@bp.get(ORDER)
def show(order_id: str) -> ResponseReturnValue:
    """Show an order as it stands."""
    return order_page.page(order_id)


@bp.post(f"{ORDER}/reference")
def reference(order_id: str) -> ResponseReturnValue:
    """Record the supplier's reference."""
    form = ReferenceForm()
    if not form.validate_on_submit():
        return order_page.page(order_id, form)
    try:
        order.add_reference(gate.current_actor(), order_id, form.supplier_reference.data)
    except Refused as refusal:
        order_page.say_beside(form, refusal)
        return order_page.page(order_id, form)
    return redirect(url_for(".show", order_id=order_id))


@bp.post(f"{ORDER}/cancel")
def cancel(order_id: str) -> ResponseReturnValue:
    """Cancel the order with a reason, or say why it still stands."""
    form = CancelForm()
    if not form.validate_on_submit():
        return order_page.page(order_id, form)
    said = (form.reason.data, form.passphrase.data, form.supplier_reply.data or None)
    try:
        order.cancel(gate.current_actor(), order_id, *said)
    except Refused as refusal:
        order_page.say_beside(form, refusal)
        return order_page.page(order_id, form)
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
    content = order_page.content(found, found.copies)
    fonts = current_app.config["FONTS_DIR"]
    response = Response(sheet_pdf.make_pdf(content, now(), fonts), content_type="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="order-{order_id[:12]}.pdf"'
    return response


@bp.get(f"{ORDER}.json")
def machine_readable(order_id: str) -> ResponseReturnValue:
    """Return what the sheet says as data, so that nobody retypes it."""
    content = order_page.content(order.sheet(gate.current_actor(), order_id), copy=None)
    text = json.dumps(content, ensure_ascii=False, indent=1)
    response = Response(text, content_type="application/json; charset=utf-8")
    response.headers["Content-Disposition"] = f'attachment; filename="order-{order_id[:12]}.json"'
    return response
