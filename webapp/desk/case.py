"""One person with both eyes, and one eye as the surgeon saw it, with its order beside."""

from typing import Any

from flask import Blueprint, abort, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import beam, entry, offered
from webapp.desk.eyes import BOTH, Eye, eye_of, other_eye
from webapp.desk.forms.deciding import CompareForm
from webapp.desk.forms.ordering import PlaceOrderForm
from webapp.desk.silence import silent_devices
from webapp.desk.states import ORDERED
from webapp.flow import casefile, duplicates, order
from webapp.flow.casefile import PersonFile
from webapp.flow.refusal import Refused

bp = Blueprint("case", __name__, url_prefix="/desk")
bp.before_request(entry.require_sign_in)

# Only here does one approval speak for the eye; two that differ must not look like one.
ONE_APPROVAL = ("approved", "stale", *ORDERED)
EYE = "<any(R, L):eye>"
TYPED = ("passphrase", "supplier_reference")


@bp.get("/person/<uuid:person>")
def person(person: object) -> ResponseReturnValue:
    """Show both eyes of a person about a centre line."""
    file = casefile.person_file(gate.current_actor(), str(person))
    return _person_page(file, CompareForm(formdata=None))


@bp.post("/person/<uuid:person>/compare")
def compare(person: object) -> ResponseReturnValue:
    """Keep whether somebody alike is the same person, or show the page again with the reason."""
    actor, form = gate.current_actor(), CompareForm()
    file = casefile.person_file(actor, str(person))
    if not form.validate_on_submit():
        return _person_page(file, form, status=422)
    said = (form.other.data, form.answer.data, form.passphrase.data)
    try:
        duplicates.answer(actor, file.person, *said)
    except Refused as refusal:
        if refusal.field != "passphrase":
            raise
        form.passphrase.errors = [refusal.message]
        return _person_page(file, form, status=422)
    return redirect(url_for(".person", person=file.person))


def _person_page(file: PersonFile, form: CompareForm, status: int = 200) -> ResponseReturnValue:
    """Return the page of both eyes, with whoever may be the same person."""
    actor = gate.current_actor()
    orders = {eye.code: order.order_of_case(actor, file.person, eye.code) for eye in BOTH}
    both = [file.fold["eyes"][eye.code]["readings"] for eye in BOTH]
    read = {row["kind"] for rows in both for row in rows if row["entries"]} - {"reading.unread"}
    page = render_template(
        "desk/person.html",
        file=file,
        eyes=BOTH,
        orders=orders,
        read=read,
        doubles=duplicates.of_person(file.person),
        may_read=actor.may_read,
        may_join=lambda site: (
            actor.may("person.join", file.site) and actor.may("person.join", site)
        ),
        joinings=_joinings(file),
        may_separate=all(actor.may("person.join", half.site) for half in file.halves),
        may_compare=actor.may("person.compare", file.site),
        form=form,
    )
    return page, status


def _joinings(file: PersonFile) -> list[dict[str, Any]]:
    """Return each pair of joined registrations once; each camp has a record of it."""
    told = file.fold["joined"]["joinings"] if file.fold["joined"] else []
    return list({tuple(sorted((one["person"], one["other"]))): one for one in told}.values())


@bp.get(f"/case/<uuid:person>/{EYE}")
def show(person: object, eye: str) -> ResponseReturnValue:
    """Show one eye as the surgeon saw it, and the order beside it."""
    file = casefile.person_file(gate.current_actor(), str(person))
    return _page(file, eye_of(eye), PlaceOrderForm())


@bp.post(f"/case/<uuid:person>/{EYE}/order")
def place(person: object, eye: str) -> ResponseReturnValue:
    """Place the order for the approval that was read, or show the page again with the reason."""
    actor = gate.current_actor()
    file = casefile.person_file(actor, str(person))
    form = PlaceOrderForm()
    if not form.validate_on_submit():
        return _page(file, eye_of(eye), form, status=422)
    try:
        order_id = order.place(
            actor, file.person, eye, form.approval.data, form.passphrase.data,
            form.supplier_reference.data or "",
        )  # fmt: skip
    except Refused as refusal:
        if refusal.field in TYPED:
            form[refusal.field].errors = [refusal.message]
            return _page(file, eye_of(eye), form, status=422)
        file = casefile.person_file(actor, str(person))
        return _page(file, eye_of(eye), form, status=409, refusal=refusal)
    return redirect(url_for("order.show", order_id=order_id))


def _page(
    file: PersonFile,
    eye: Eye,
    form: PlaceOrderForm,
    status: int = 200,
    refusal: Refused | None = None,
) -> ResponseReturnValue:
    """Return the page of one eye."""
    actor = gate.current_actor()
    case: dict[str, Any] = file.fold["eyes"].get(eye.code) or abort(404)
    approval = case["approval"]
    lens = approval["shown"]["lens"] if approval and case["state"] in ONE_APPROVAL else None
    plan = casefile.plan_now(actor, file.person, eye.code, approval["shown"] if lens else None)
    exchange = None
    if case["exchange"]:
        decided = approval["shown"] if approval and approval["implant"] else None
        exchange = casefile.exchange_now(actor, file.person, eye.code, decided)
    page = render_template(
        "desk/case.html",
        exchange=exchange,
        file=file,
        eye=eye,
        other=other_eye(eye.code),
        case=case,
        fellow=file.fold["eyes"][other_eye(eye.code).code],
        plan=plan,
        figure=_figure(plan, lens),
        offered=offered.of_plan(plan, lens),
        approval=approval,
        lens=lens,
        conditions=_conditions(file, eye, case),
        order_id=order.order_of_case(actor, file.person, eye.code),
        silent=silent_devices(actor, file.site),
        may_order=actor.may("order.write", file.site),
        may_ask=actor.may("exchange.ask", file.site),
        form=form,
        refusal=refusal,
    )
    return page, status


def _figure(plan: dict[str, Any], lens: dict[str, Any] | None) -> beam.Figure | None:
    """Return the beam figure of the plan, the approved length marked; None without a plan."""
    if not plan.get("lengths"):
        return None
    return beam.figure(plan["lengths"], plan["window_um"], lens["length_um"] if lens else None)


def _conditions(file: PersonFile, eye: Eye, case: dict[str, Any]) -> list[order.Condition]:
    """Return the conditions of an order, checked at this moment, where there is one to place."""
    if case["approval"] is None or case["state"] not in ("approved", "stale", "conflict"):
        return []
    return order.conditions(gate.current_actor(), file.person, eye.code)
