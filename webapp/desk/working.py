"""The working of one eye's plan as a page to read or to print."""

from collections.abc import Mapping
from typing import Any

from flask import Blueprint, render_template
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry
from webapp.desk.eyes import eye_of, other_eye
from webapp.desk.states import ORDERED
from webapp.flow import casefile

bp = Blueprint("working", __name__, url_prefix="/desk")
bp.before_request(entry.require_sign_in)

# Only here does one approval speak for the eye.
ONE_APPROVAL = ("approved", "stale", *ORDERED)


@bp.get("/case/<uuid:person>/<any(R, L):eye>/working")
def show(person: object, eye: str) -> ResponseReturnValue:
    """Show how the approved lens, or else the recommended one, was worked out."""
    actor = gate.current_actor()
    file = casefile.person_file(actor, str(person))
    shown = approved(file.fold["eyes"][eye])
    working = casefile.working_now(actor, file.person, eye, shown)
    return render_template(
        "desk/working.html",
        file=file,
        eye=eye_of(eye),
        other=other_eye(eye),
        working=working,
        is_approved=shown is not None,
    )


def approved(case: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """Return what the one approval of an eye showed, None where no approval speaks for it."""
    if case["approval"] is None or case["state"] not in ONE_APPROVAL:
        return None
    if case["approval"]["kind"] != "plan.approval":
        return None  # A decision about the lens in the eye rests on another calculation.
    shown: Mapping[str, Any] = case["approval"]["shown"]
    return shown
