"""The audit log as a page: who signed in, was refused, changed what; no patient is named in it."""

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry
from webapp.flow import audit

A_PAGE = 100

bp = Blueprint("audit_log", __name__, url_prefix="/desk/audit-log")
bp.before_request(entry.require_sign_in)


@bp.get("")
def show() -> ResponseReturnValue:
    """List a hundred events, the newest first."""
    lines = audit.page(gate.current_actor(), _before(), A_PAGE)
    return render_template(
        "desk/audit_log.html",
        lines=lines,
        words=audit.EVENTS,
        names=audit.names(),
        older=lines[-1].n if lines and lines[-1].n > 1 else None,
    )


def _before() -> int | None:
    """Return the number before which the page ends; anything but a small number is the newest."""
    text = request.args.get("before", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 12 else None
