"""The devices that sign records: which wait or are silent, and one with what may be done."""

from datetime import UTC
from typing import Any

from flask import Blueprint, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry
from webapp.desk.forms.phones import (
    IN_OTHER_HANDS,
    NOBODY_ELSE,
    CloseKeyForm,
    ConfirmPhoneForm,
    RevokePhoneForm,
)
from webapp.desk.silence import SILENT_H, is_silent
from webapp.flow import clock, device_clocks, device_list, key_authority, key_closing, people
from webapp.flow.key_authority import Revocation
from webapp.flow.refusal import Refused
from webapp.records.kinds import KINDS

bp = Blueprint("devices", __name__, url_prefix="/desk/devices")
bp.before_request(entry.require_sign_in)

CHOOSE = ("", "Choose")
WHY = [tuple(choice) for choice in KINDS["key.revoked"].fields["why"]["choices"]]
HANDS = ((NOBODY_ELSE, "No, nobody else"), (IN_OTHER_HANDS, "Perhaps, since the time below"))


@bp.get("")
def show() -> ResponseReturnValue:
    """List the devices: those that wait for somebody, then those silent longest."""
    actor = gate.current_actor()
    rows = [(device, is_silent(device)) for device in device_list.listing(actor)]
    return render_template(
        "desk/devices.html",
        rows=rows,
        silent_h=SILENT_H,
        sites=dict(people.sites()),
        clocks=device_clocks.listing(actor),
        replaced=key_closing.perhaps_replaced(actor),
    )


@bp.get("/<string(length=64):kid>")
def one(kid: str) -> ResponseReturnValue:
    """Show one device with its words, and what may be done about it."""
    return _page(kid, ConfirmPhoneForm(formdata=None), _revoke_form(blank=True))


@bp.post("/<string(length=64):kid>/confirm")
def confirm(kid: str) -> ResponseReturnValue:
    """Give this key its authority, once its words were compared."""
    form, other = ConfirmPhoneForm(), _revoke_form(blank=True)
    if not form.validate_on_submit():
        return _page(kid, form, other, status=422)
    try:
        key_authority.confirm(gate.current_actor(), kid, form.passphrase.data)
    except Refused as refusal:
        _put(refusal, form)
        return _page(kid, form, other, status=422)
    return redirect(url_for(".one", kid=kid))


@bp.post("/<string(length=64):kid>/close")
def close(kid: str) -> ResponseReturnValue:
    """Close this key: the storage of its phone was cleared."""
    form = CloseKeyForm(prefix="c-")
    blank = ConfirmPhoneForm(formdata=None), _revoke_form(blank=True)
    if not form.validate_on_submit():
        return _page(kid, *blank, form, status=422)
    try:
        key_closing.close(gate.current_actor(), kid, form.passphrase.data)
    except Refused as refusal:
        _put(refusal, form)
        return _page(kid, *blank, form, status=422)
    return redirect(url_for(".one", kid=kid))


@bp.post("/<string(length=64):kid>/revoke")
def revoke(kid: str) -> ResponseReturnValue:
    """End this key's authority for ever."""
    form, other = _revoke_form(), ConfirmPhoneForm(formdata=None)
    if not form.validate_on_submit():
        return _page(kid, other, form, status=422)
    since = form.since.data
    instant = since.replace(tzinfo=UTC).strftime("%Y-%m-%dT%H:%M:%SZ") if since else None
    said = Revocation(form.why.data, instant)
    try:
        key_authority.revoke_confirmed(gate.current_actor(), kid, said, form.passphrase.data)
    except Refused as refusal:
        _put(refusal, form)
        return _page(kid, other, form, status=422)
    return redirect(url_for(".one", kid=kid))


def _revoke_form(blank: bool = False) -> RevokePhoneForm:
    form = RevokePhoneForm(formdata=None, prefix="r-") if blank else RevokePhoneForm(prefix="r-")
    form.why.choices = [CHOOSE, *WHY]
    form.hands.choices = [CHOOSE, *HANDS]
    return form


def _put(refusal: Refused, form: Any) -> None:  # noqa: ANN401 - the library publishes no types
    """Show a refusal at its field, or let it through where it has none here."""
    if refusal.field not in form:
        raise refusal
    form[refusal.field].errors = [refusal.message]


def _page(
    kid: str,
    confirm_form: ConfirmPhoneForm,
    revoke_form: RevokePhoneForm,
    close_form: CloseKeyForm | None = None,
    status: int = 200,
) -> ResponseReturnValue:
    actor = gate.current_actor()
    device = device_list.find(actor, kid)
    waits = device.state == "waiting"
    page = render_template(
        "desk/device.html",
        device=device,
        silent=is_silent(device),
        sites=dict(people.sites()),
        now=clock.instant(),
        may_confirm=waits and actor.may("device.confirm") and device.user_id != actor.user_id,
        may_revoke=not device.revoked_at and actor.may("device.revoke"),
        others=key_closing.others_of(actor, kid),
        may_close=key_closing.may_close(actor, device),
        close_form=close_form or CloseKeyForm(formdata=None, prefix="c-"),
        confirm_form=confirm_form,
        revoke_form=revoke_form,
    )
    return page, status
