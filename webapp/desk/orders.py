"""Several orders in one go: choose approved eyes to order, choose orders to save as one file."""

from flask import Blueprint, Response, render_template, request
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry, order_file, order_page
from webapp.desk.eyes import BOTH, eye_of
from webapp.desk.forms.ordering import BatchForm
from webapp.desk.silence import silent_devices
from webapp.flow import order, order_batch
from webapp.flow.order_batch import Answer, Asked
from webapp.flow.refusal import Refused

bp = Blueprint("orders", __name__, url_prefix="/desk/orders")
bp.before_request(entry.require_sign_in)

EYES = [eye.code for eye in BOTH]


@bp.get("/")
def show() -> ResponseReturnValue:
    """Show what can be ordered and what is ordered."""
    return _page(BatchForm(formdata=None), [], [])


@bp.post("/")
def place() -> ResponseReturnValue:
    """Order the chosen eyes, each alone, and say of each what came of it."""
    form, chosen = BatchForm(), _chosen()
    if not form.validate_on_submit():
        return _page(form, chosen, [], 422)
    if not chosen:
        form.passphrase.errors = ["Choose the eyes to order. Nothing was ordered."]
        return _page(form, chosen, [], 422)
    try:
        answers = order_batch.place_each(gate.current_actor(), chosen, form.passphrase.data)
    except Refused as refusal:
        order_page.say_beside(form, refusal)
        return _page(form, chosen, [], 422)
    return _page(BatchForm(formdata=None), [], answers)


@bp.get("/file.csv")
def csv_file() -> ResponseReturnValue:
    """Return the chosen orders as a CSV table."""
    return _file(order_file.as_csv, "csv", "text/csv")


@bp.get("/file.json")
def json_file() -> ResponseReturnValue:
    """Return the chosen orders as one JSON document."""
    return _file(order_file.as_json, "json", "application/json")


def _file(write: order_file.Writer, ending: str, content_type: str) -> Response:
    """Return the orders that the address names as a file; one that is not there gives none."""
    actor = gate.current_actor()
    ids = list(dict.fromkeys(request.args.getlist("order")))[: order_batch.MOST]
    if not ids:
        raise Refused("orders.none", "Go back and tick the orders that belong in the file.")
    contents = [order_page.content(order.sheet(actor, one), copy=None) for one in ids]
    response = Response(write(contents), content_type=f"{content_type}; charset=utf-8")
    name = f"order-{ids[0][:12]}" if len(ids) == 1 else f"orders-{len(ids)}"
    response.headers["Content-Disposition"] = f'attachment; filename="{name}.{ending}"'
    return response


def _chosen() -> list[Asked]:
    """Return the eyes that were ticked; what has not the form of one is passed over."""
    parts = [text.split(".") for text in request.form.getlist("eye")[: order_batch.MOST]]
    whole = [Asked(*each) for each in parts if len(each) == len(Asked._fields)]
    return [one for one in whole if one.eye in EYES]


def _page(
    form: BatchForm, chosen: list[Asked], answers: list[Answer], status: int = 200
) -> ResponseReturnValue:
    """Return the page, with what came of the orders that were just placed."""
    actor = gate.current_actor()
    more_approved, more_open = order_batch.left_out(actor)
    page = render_template(
        "desk/orders.html",
        more_approved=more_approved,
        more_open=more_open,
        ready=order_batch.ready(actor),
        open_orders=order_batch.open_orders(actor),
        chosen=[".".join(one) for one in chosen],
        answers=answers,
        eye_of=eye_of,
        silent=silent_devices(actor),
        may_order=actor.may("order.write"),
        form=form,
    )
    return page, status
