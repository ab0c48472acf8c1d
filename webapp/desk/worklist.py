"""The worklist: how many eyes are at each step, and the people behind one of them."""

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.desk import entry, people_page
from webapp.desk.silence import silent_devices
from webapp.desk.states import ASIDE, STATES, STREAM, next_step
from webapp.flow import asking, credentials, people, separations, urgent, urgent_apart, worklist
from webapp.flow.worklist import Sought

LONGEST_QUERY = 80

bp = Blueprint("worklist", __name__, url_prefix="/desk")
bp.before_request(entry.require_sign_in)


@bp.get("/")
def show() -> ResponseReturnValue:
    """List people by state, camp or search, 50 a page, with what happens next and by whom."""
    actor = gate.current_actor()
    sites = dict(people.sites())
    mine = {site: title for site, title in sites.items() if actor.may_read(site)}
    sought = _sought(mine)
    page = people_page.page(actor, sought, _page_number())
    return render_template(
        "desk/worklist.html",
        urgent=urgent.waiting(actor),
        urgent_apart=urgent_apart.waiting(actor),
        asked=asking.urgent(actor),
        separations=separations.waiting(actor),
        counts=worklist.counts(actor, sought.query, sought.site),
        stream=STREAM,
        aside=ASIDE,
        state=STATES.get(sought.state),
        late=sought.overdue,
        late_count=worklist.overdue_count(actor, sought.query, sought.site),
        query=sought.query,
        site=sought.site,
        mine=mine,
        up_to_date=worklist.is_up_to_date(actor),
        page=page,
        rows=[
            (row, next_step({code: cell._asdict() for code, cell in row.eyes.items()}))
            for row in page.rows
        ],
        sites=sites,
        silent=silent_devices(actor),
        resets=credentials.notices(actor),
    )


def _sought(mine: dict[str, str]) -> Sought:
    """Return what the address asks for; a state or a site that is none of theirs is all."""
    state, site = request.args.get("state", ""), request.args.get("site", "")
    return Sought(
        state if state in STATES else "",
        request.args.get("q", "").strip()[:LONGEST_QUERY],
        request.args.get("late") == "1",
        site if site in mine else "",
    )


def _page_number() -> int:
    """Return the page asked for; anything but a small whole number is the first."""
    text = request.args.get("page", "1")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 6 and int(text) else 1
