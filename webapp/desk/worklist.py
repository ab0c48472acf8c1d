"""The worklist: how many eyes are at each step, and the people behind one of them."""

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry, people_page
from webapp.desk.silence import silent_devices
from webapp.desk.states import ASIDE, STATES, STREAM, next_step
from webapp.flow import credentials, people, urgent, worklist

LONGEST_QUERY = 80

bp = Blueprint("worklist", __name__, url_prefix="/desk")
bp.before_request(entry.require_sign_in)


@bp.get("/")
def show() -> ResponseReturnValue:
    """List people by state or by search, 50 a page, with what happens next and by whom."""
    actor = gate.current_actor()
    state = request.args.get("state", "")
    state = state if state in STATES else ""
    query = request.args.get("q", "").strip()[:LONGEST_QUERY]
    late = request.args.get("late") == "1"
    page = people_page.page(actor, state, query, _page_number(), late)
    return render_template(
        "desk/worklist.html",
        urgent=urgent.waiting(actor),
        counts=worklist.counts(actor, query),
        stream=STREAM,
        aside=ASIDE,
        state=STATES.get(state),
        late=late,
        late_count=worklist.overdue_count(actor, query),
        query=query,
        page=page,
        rows=[
            (row, next_step({code: cell._asdict() for code, cell in row.eyes.items()}))
            for row in page.rows
        ],
        sites=dict(people.sites()),
        silent=silent_devices(actor),
        resets=credentials.notices(actor),
    )


def _page_number() -> int:
    """Return the page asked for; anything but a small whole number is the first."""
    text = request.args.get("page", "1")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 6 and int(text) else 1
