"""The page of one order: what was ordered, how far it is, and the forms of what may come next."""

from typing import Any

from flask import render_template
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import sheet_content
from webapp.desk.eyes import eye_of
from webapp.desk.forms.base import DeskForm
from webapp.desk.forms.ordering import CancelForm, ReferenceForm
from webapp.desk.forms.plain import NoFieldsForm
from webapp.desk.forms.supplier import ReceivedForm, ShippedForm
from webapp.flow import box_conditions, casefile, device_list, order
from webapp.flow.order import OrderSheet
from webapp.flow.refusal import Refused

FORMS = {
    "reference_form": ReferenceForm,
    "cancel_form": CancelForm,
    "shipped_form": ShippedForm,
    "received_form": ReceivedForm,
    "print_form": NoFieldsForm,
}


def page(order_id: str, sent: DeskForm | None = None) -> ResponseReturnValue:
    """Return the order's page; with a form that was sent, its faults beside its fields."""
    actor = gate.current_actor()
    found = order.sheet(actor, order_id)
    file = casefile.person_file(actor, found.person)
    eye = file.fold["eyes"][found.eye]
    text = render_template(
        "desk/order.html",
        sheet=found,
        eye=eye_of(found.eye),
        content=content(found, found.copies),
        progress=next(one for one in eye["orders"] if one["id"] == order_id),
        overdue=_of_order(eye["overdue"], order_id),
        steps=_steps(file, found),
        boxes=_boxes(eye, order_id),
        both=eye["backup"],
        names=file.names,
        sent=sent,
        may_change=actor.may("order.write", found.site),
        **{name: _filled(form, sent) for name, form in FORMS.items()},
    )
    return text, 200 if sent is None else 422


def content(found: OrderSheet, copy: int | None) -> dict[str, Any]:
    """Return what the sheet, the page and the machine-readable form all say."""
    actor = gate.current_actor()
    file = casefile.person_file(actor, found.person)
    shown = found.approval["body"]["shown"]
    plan = (
        casefile.plan_now(actor, found.person, found.eye)
        if found.takes_out is None
        else casefile.exchange_now(actor, found.person, found.eye, shown)
    )
    findings = [*plan["findings"], *file.fold["eyes"][found.eye]["findings"]]
    around = sheet_content.Around(
        received=file.received,
        labels={device.kid: device.label for device in device_list.listing(actor)},
        words={finding["code"]: finding for finding in findings},
    )
    return sheet_content.content(found, around, copy)


def say_beside(form: DeskForm, refusal: Refused, default: str = "") -> None:
    """Put a refusal beside the field that it is about; raise it again when it is about none.

    Args:
        form: the form that was sent.
        refusal: why it could not be done.
        default: the field to say it beside where the refusal names none of this form.
    """
    name = (refusal.field or "").rsplit(".", 1)[-1]
    name = name if name in form else default
    if name not in form:
        raise refusal
    form[name].errors = [refusal.message]


def _filled(form: type[DeskForm], sent: DeskForm | None) -> DeskForm:
    """Return the form that was sent, or an empty one of its kind."""
    return sent if sent is not None and type(sent) is form else form(formdata=None)


def _of_order(overdue: dict[str, Any] | None, order_id: str) -> dict[str, Any] | None:
    return overdue if overdue and overdue["order"] == order_id else None


def _boxes(eye: dict[str, Any], order_id: str) -> list[dict[str, Any]]:
    """Return the boxes held against this order, oldest first; none of an order that ended."""
    both, checked = eye["backup"], box_conditions.boxes_of(eye, order_id)
    ids = [eye["order"]["id"]] if both is None else [both[one]["id"] for one in ("chosen", "order")]
    return checked["checks"] if checked and order_id in ids else []


def _steps(file: casefile.PersonFile, found: OrderSheet) -> list[dict[str, Any]]:
    """Return every record about this order in one line each, oldest first."""
    said = file.fold["eyes"][found.eye]["timeline"]
    return [
        {**one, "name": file.names.get(one["author"], one["author"])}
        for one in said
        if one["kind"].startswith(("order.", "theatre.", "backup."))
        and found.order_id in (one["id"], *_orders_of(file.payloads[one["id"]]["body"]))
    ]


def _orders_of(body: dict[str, Any]) -> list[Any]:
    """Return the orders that a record is about: one, or a back-up's and the chosen lens's."""
    return [body.get("order"), body.get("instead_of")]
