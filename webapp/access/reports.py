"""Where browsers report that a page broke the content policy (W3C Reporting API).

Only which directive was broken is kept: the rest of a report holds addresses and pieces of pages.
"""

import json
import threading

from flask import Blueprint, request
from flask.typing import ResponseReturnValue

from webapp.access.gate import csrf
from webapp.flow import audit, clock
from webapp.flow.refusal import Refused

LARGEST_BYTES = 64 * 1024
MOST_AN_HOUR = 60
"""A page that breaks the policy in a loop, or a stranger, fills no disk."""
AN_HOUR_S = 3600

bp = Blueprint("reports", __name__)


class _Hourly:
    """How many reports were kept in the hour that began with the first of them."""

    def __init__(self) -> None:
        self._began_s = self._kept = 0
        self._lock = threading.Lock()

    def takes_another(self) -> bool:
        """Count one more, if there is room for it."""
        with self._lock:
            if clock.seconds() - self._began_s >= AN_HOUR_S:
                self._began_s, self._kept = clock.seconds(), 0
            self._kept += 1
            return self._kept <= MOST_AN_HOUR


hourly = _Hourly()


@bp.post("/reports")
@csrf.exempt  # type: ignore[untyped-decorator]  # a browser sends reports without a page's token
def take() -> ResponseReturnValue:
    """Note the directives that were broken."""
    request.max_content_length = LARGEST_BYTES
    try:
        reports = json.loads(request.get_data())
    except (ValueError, RecursionError) as error:
        raise Refused("request.bad", "The report is not JSON.") from error
    for report in reports if isinstance(reports, list) else []:
        body = report.get("body") if isinstance(report, dict) else None
        directive = body.get("effectiveDirective") if isinstance(body, dict) else None
        if isinstance(directive, str) and hourly.takes_another():
            audit.note("policy.violated", detail=audit.plain(directive))
    return "", 204
