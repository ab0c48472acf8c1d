"""The devices that sign records: when each was last heard from, and the silent ones first."""

from flask import Blueprint, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry
from webapp.desk.forms import NoFieldsForm
from webapp.desk.silence import SILENT_H, is_silent
from webapp.flow import devices, people

bp = Blueprint("devices", __name__, url_prefix="/desk/devices")
bp.before_request(entry.require_sign_in)


@bp.get("")
def show() -> ResponseReturnValue:
    """List the devices, silent longest first."""
    actor = gate.current_actor()
    rows = [(device, is_silent(device)) for device in devices.listing(actor)]
    return render_template(
        "desk/devices.html",
        rows=rows,
        silent_h=SILENT_H,
        sites=dict(people.sites()),
        may_revoke=actor.may("device.write"),
        form=NoFieldsForm(),
    )


@bp.post("/<string(length=64):kid>/revoke")
def revoke(kid: str) -> ResponseReturnValue:
    """Refuse what this key signs from now on."""
    if NoFieldsForm().validate_on_submit():
        devices.revoke(gate.current_actor(), kid)
    return redirect(url_for(".show"))
