"""What the supplier says of an order, typed at the desk: confirmation, shipping, arrival."""

from flask import Blueprint, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry, order_page
from webapp.desk.eyes import eye_of
from webapp.desk.forms.supplier import (
    ConfirmationForm,
    ReceivedForm,
    ShippedForm,
    iso,
    standing_ids,
)
from webapp.flow import order, order_progress
from webapp.flow.refusal import Refused

bp = Blueprint("supplier", __name__, url_prefix="/desk/order")
bp.before_request(entry.require_sign_in)

ORDER = "/<string(length=64):order_id>"


@bp.get(f"{ORDER}/confirmation")
def confirmation(order_id: str) -> ResponseReturnValue:
    """Ask what the supplier confirmed; the ordered lens is not on this page."""
    found = order_progress.progress(gate.current_actor(), order_id)
    form = ConfirmationForm(formdata=None, corrects=standing_ids(found["confirmations"]))
    return _confirmation_page(order_id, form)


@bp.post(f"{ORDER}/confirmation")
def confirm(order_id: str) -> ResponseReturnValue:
    """Record what was typed; the order's page then shows it beside what was ordered."""
    form = ConfirmationForm()
    if not form.validate_on_submit():
        return _confirmation_page(order_id, form, status=422)
    actor = gate.current_actor()
    try:
        order_progress.confirm(actor, order_id, form.said(), form.passphrase.data)
    except Refused as refusal:
        order_page.say_beside(form, refusal, "reference")
        return _confirmation_page(order_id, form, status=422)
    return redirect(url_for("order.show", order_id=order_id, _anchor="supplier"))


@bp.post(f"{ORDER}/shipped")
def shipped(order_id: str) -> ResponseReturnValue:
    """Record that the lens was shipped."""
    form = ShippedForm()
    if not form.validate_on_submit():
        return order_page.page(order_id, form)
    days = (iso(form.shipped_on) or "", iso(form.shipped_expected_on))
    try:
        order_progress.ship(gate.current_actor(), order_id, *days)
    except Refused as refusal:
        order_page.say_beside(form, refusal, "shipped_on")
        return order_page.page(order_id, form)
    return redirect(url_for("order.show", order_id=order_id, _anchor="supplier"))


@bp.post(f"{ORDER}/received")
def received(order_id: str) -> ResponseReturnValue:
    """Record that the lens arrived."""
    form = ReceivedForm()
    if not form.validate_on_submit():
        return order_page.page(order_id, form)
    try:
        order_progress.arrive(gate.current_actor(), order_id, iso(form.received_on) or "")
    except Refused as refusal:
        order_page.say_beside(form, refusal, "received_on")
        return order_page.page(order_id, form)
    return redirect(url_for("order.show", order_id=order_id, _anchor="supplier"))


def _confirmation_page(
    order_id: str, form: ConfirmationForm, status: int = 200
) -> ResponseReturnValue:
    """Return the page on which a confirmation is typed."""
    actor = gate.current_actor()
    found = order.sheet(actor, order_id)
    page = render_template(
        "desk/confirmation.html",
        sheet=found,
        eye=eye_of(found.eye),
        form=form,
        may_change=actor.may("order.write", found.site) and found.live,
    )
    return page, status
