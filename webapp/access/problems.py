"""How a refusal reaches its reader: a problem document (RFC 9457) for programs, a page for people.

Nothing of the inside is shown: an unexpected error is logged and answered with one plain sentence.
"""

from traceback import format_tb

from flask import Flask, Response, current_app, jsonify, render_template, request
from flask.typing import ResponseReturnValue
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException

from webapp.flow.refusal import NotFound, Refused
from webapp.store import full_disk

FOR_PROGRAMS = ("/sync/", "/auth/", "/core/", "/assets/", "/reports")

STATUS = {
    "sign_in.wrong": 401,
    "sign_in.needed": 401,
    "sign_in.not_fresh": 401,
    "sign_in.wait": 429,
    "role.missing": 403,
    "route.not_listed": 403,
    "request.not_json": 415,
    "request.encoding": 415,
    "request.too_large": 413,
    "request.other_site": 403,
    "request.bad": 400,
}
"""The status of a refusal by its code; 409 for every other, 404 for what is not there."""

FULL_FOR_A_PHONE = (
    "The base's disk is full, so it took nothing in. Keep this phone's records where they are, "
    "tell the base, and send again later."
)
FULL_FOR_A_PAGE = (
    "The disk of this server is full. Ask whoever looks after it to make room, load the page "
    "again, and look whether your change is there before you repeat it."
)
SENTENCES = {
    400: ("bad_request", "The request could not be understood."),
    403: ("forbidden", "This is not allowed."),
    404: ("not_found", "There is nothing at this address."),
    405: ("method", "This address does not take such a request."),
    413: ("too_large", "The request is too large."),
    415: ("request.not_json", "The request must be JSON."),
}


def status_of(refusal: Refused) -> int:
    """Return the HTTP status of a refusal."""
    return 404 if isinstance(refusal, NotFound) else STATUS.get(refusal.code, 409)


def is_for_a_program() -> bool:
    """Say whether this request came from the app rather than from a person's address bar."""
    return request.path.startswith(FOR_PROGRAMS)


def answer(status: int, code: str, detail: str) -> ResponseReturnValue:
    """Return a refusal in the form its reader understands."""
    if is_for_a_program():
        return problem(status, code, detail)
    return render_template("error.html", status=status, code=code, detail=detail), status


def problem(status: int, code: str, detail: str) -> Response:
    """Return a problem document."""
    response = jsonify(
        type="about:blank", title=code.replace("_", " "), status=status, detail=detail, code=code
    )
    response.status_code = status
    response.content_type = "application/problem+json"
    return response


def refused(refusal: Refused) -> ResponseReturnValue:
    """Say in plain words why the rules did not allow it."""
    return answer(status_of(refusal), refusal.code, refusal.message)


def csrf_failed(_error: CSRFError) -> ResponseReturnValue:
    """Say that the page is older than the session it was made in."""
    return answer(
        400, "csrf", "This page is out of date, so nothing was done. Load it again and repeat."
    )


def http_error(error: HTTPException) -> ResponseReturnValue:
    """Answer what the framework refused, without its own words."""
    # What fails after a page was made reaches here inside the framework's own error.
    hidden = getattr(error, "original_exception", None)
    if hidden is not None and full_disk.is_full(hidden):
        return disk_full()
    status = error.code or 500
    code, detail = SENTENCES.get(status, ("refused", "The request was refused."))
    response = current_app.make_response(answer(status, code, detail))
    if status == 405:
        response.headers["Allow"] = ", ".join(getattr(error, "valid_methods", None) or ())
    return response


def unexpected(error: Exception) -> ResponseReturnValue:
    """Log where a fault of the program happened; never its message, which may hold data."""
    if full_disk.is_full(error):
        return disk_full()
    if isinstance(error, HTTPException):
        return http_error(error)
    route = request.url_rule.rule if request.url_rule else "?"
    where = "".join(format_tb(error.__traceback__))
    kind = type(error).__name__
    current_app.logger.error("fault on %s %s: %s\n%s", request.method, route, kind, where)
    if current_app.testing:
        raise error
    return answer(500, "fault", "Something went wrong here, and nothing was changed by it.")


def disk_full() -> ResponseReturnValue:
    """Say that there is no room: whatever was sent is taken whole or not at all."""
    rule = request.url_rule.rule if request.url_rule else "?"
    current_app.logger.error("the disk is full: %s %s", request.method, rule)
    return answer(507, "storage.full", FULL_FOR_A_PHONE if is_for_a_program() else FULL_FOR_A_PAGE)


def install(app: Flask) -> None:
    """Answer every error of this app."""
    app.register_error_handler(Refused, refused)
    app.register_error_handler(CSRFError, csrf_failed)
    app.register_error_handler(HTTPException, http_error)
    app.register_error_handler(Exception, unexpected)
