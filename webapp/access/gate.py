"""The checks before each request: where it comes from, its form, its token, and who is asking."""

import json
import re
from collections.abc import Callable
from functools import wraps
from typing import ParamSpec

from flask import Flask, Response, g, redirect, request, session, url_for
from flask.typing import ResponseReturnValue
from flask_wtf.csrf import CSRFProtect

from webapp.flow import accounts, audit, permissions
from webapp.flow.actor import Actor
from webapp.flow.refusal import Refused
from webapp.store import database

P = ParamSpec("P")

SECRET = "secret"  # noqa: S105 - the name of the cookie's field, not a secret
JSON_ONLY = ("/sync/", "/auth/")
PUSH = "/sync/push"
LARGEST_PUSH = 18 * 1024 * 1024
"""Two hundred records of 64 KiB in base64; every other request has the app's small limit."""
WITHOUT_DATABASE = frozenset({"static_files", "landing"})
"""Blueprints that serve files and no data: no connection is opened for them."""
NOTED_ELSEWHERE = (permissions.PUBLIC, "record.push")
OWN = ("same-origin", "none")

NO_CHARACTER = re.compile("[\ud800-\udfff\0]")
"""A lone surrogate, which nothing can hash or keep, or a NUL, which PostgreSQL cannot look for."""

csrf = CSRFProtect()


def install(app: Flask) -> None:
    """Put the checks in front of every route of this app, in this order."""
    app.before_request(require_own_site)
    app.before_request(require_json)
    csrf.init_app(app)
    app.before_request(find_actor)
    app.before_request(require_permission)
    app.after_request(note_change)
    app.teardown_request(close_connection)


def require_own_site() -> None:
    """Refuse a change asked for by another site's page, where the browser tells."""
    origin = request.headers.get("Sec-Fetch-Site")
    changes = request.method not in ("GET", "HEAD", "OPTIONS")
    if changes and origin is not None and origin not in OWN:
        raise Refused("request.other_site", "The request came from another site's page.")


def require_json() -> None:
    """Refuse a form or plain text where only the app's JSON is expected."""
    if request.path == PUSH:
        request.max_content_length = LARGEST_PUSH
    json_only = request.method == "POST" and request.path.startswith(JSON_ONLY)
    if json_only and request.mimetype != "application/json":
        raise Refused("request.not_json", "Send application/json.")


def find_actor() -> None:
    """Open this request's database connection and find who is asking."""
    g.signed_in = None
    if request.blueprint is None or request.blueprint in WITHOUT_DATABASE:
        return
    database.connect()
    secret = session.get(SECRET)
    if isinstance(secret, str):
        life = accounts.AT_THE_DESK if request.path.startswith("/desk") else accounts.ON_A_PHONE
        g.signed_in = accounts.signed_in(secret, request.remote_addr or "", life)


def require_permission() -> ResponseReturnValue | None:
    """Let a request to its view only if the table of permissions lets this person do that.

    Whether the case or order it is about lies at one of their sites is asked where it is read.
    """
    if request.url_rule is None or request.method == "OPTIONS":
        return None
    action = permissions.action_of(request.method, request.url_rule.rule)
    if action == permissions.PUBLIC:
        return None
    if not is_signed_in():
        return ask_to_sign_in()
    if action is None:
        raise Refused("route.not_listed", "Nobody may do this: no permission names it.")
    if not current_actor().may(action):
        audit.note("access.refused", current_actor(), detail=f"{request.method}:{action}")
    current_actor().require(action)
    return None


def note_change(response: Response) -> Response:
    """Write down what somebody changed or was refused; records and accounts tell more themselves.

    A push is not noted: the records themselves say who signed what, and when it arrived.
    """
    if request.method != "POST" or request.url_rule is None or not is_signed_in():
        return response
    action = permissions.action_of("POST", request.url_rule.rule)
    if action not in (None, *NOTED_ELSEWHERE):
        event = "change.done" if response.status_code < 400 else "change.refused"
        subject = "/".join(audit.plain(value) for value in (request.view_args or {}).values())
        detail = f"{request.endpoint}:{response.status_code}"
        audit.note(event, current_actor(), subject=subject, detail=detail)
    return response


def ask_to_sign_in() -> ResponseReturnValue | None:
    """Send whoever is not signed in to the desk's sign-in page, and back here afterwards.

    Raises:
        Refused: it is no page of the desk.
    """
    if is_signed_in():
        return None
    if not request.path.startswith("/desk"):
        raise Refused("sign_in.needed", "Sign in first; nothing was lost.")
    back = request.full_path.rstrip("?") if request.method == "GET" else ""
    return redirect(url_for("entry.sign_in_page", next=back or None))


def close_connection(_error: BaseException | None) -> None:
    """Close this request's connection."""
    database.disconnect()


def current_actor() -> Actor:
    """Return who is signed in.

    Raises:
        Refused: nobody is.
    """
    if g.signed_in is None:
        raise Refused("sign_in.needed", "Sign in first; nothing was lost.")
    actor: Actor = g.signed_in.actor
    return actor


def is_signed_in() -> bool:
    """Say whether somebody is signed in."""
    return g.get("signed_in") is not None


def signed_in_only(
    view: Callable[P, ResponseReturnValue],
) -> Callable[P, ResponseReturnValue]:
    """Answer a view's requests only for people who are signed in."""

    @wraps(view)
    def guarded(*args: P.args, **kwargs: P.kwargs) -> ResponseReturnValue:
        current_actor()
        return view(*args, **kwargs)

    return guarded


def begin_session(sign_in_name: str, passphrase: str) -> Actor:
    """Sign a person in: a new session with a new secret and a new CSRF token."""
    secret, actor = accounts.sign_in(sign_in_name, passphrase, request.remote_addr or "")
    end_session()
    session.permanent = True
    session[SECRET] = secret
    g.signed_in = accounts.signed_in(secret, actor.address)
    return actor


def end_session() -> None:
    """Sign whoever is signed in out, on the server and in the browser."""
    secret = session.get(SECRET)
    if isinstance(secret, str):
        accounts.sign_out(secret, request.remote_addr or "")
    session.clear()
    # Flask-WTF keeps the token of this request here; the old one belongs to the old session.
    g.pop("csrf_token", None)
    g.signed_in = None


def json_object() -> dict[str, object]:
    """Return the request's JSON object.

    Raises:
        Refused: it is not JSON, not an object, or says one name twice.
    """
    try:
        value = json.loads(request.get_data(), object_pairs_hook=_said_once)
    except (ValueError, RecursionError) as error:
        raise Refused("request.bad", "The request is not JSON.") from error
    if not isinstance(value, dict):
        raise Refused("request.bad", "The request is not a JSON object.")
    return value


def _said_once(pairs: list[tuple[str, object]]) -> dict[str, object]:
    """Return an object; two readers could take another of two values with one name."""
    fields = dict(pairs)
    if len(fields) < len(pairs):
        raise ValueError("a name is said twice")
    return fields


def argument(name: str, otherwise: str = "") -> str:
    """Return a part of the address's query. Raises: Refused where it is given twice or no text."""
    values = request.args.getlist(name)
    if len(values) > 1 or NO_CHARACTER.search("".join(values)):
        raise Refused("request.bad", f"{name} must be given once, as text.")
    return values[0] if values else otherwise


def text_of(fields: dict[str, object], name: str, longest: int) -> str:
    """Return a text field of a JSON object.

    Raises:
        Refused: it is missing, not text, too long, or holds half a character.
    """
    value = fields.get(name)
    if not isinstance(value, str) or len(value) > longest or NO_CHARACTER.search(value):
        raise Refused("request.bad", f"{name} must be text of at most {longest} characters.")
    return value


def count_of(fields: dict[str, object], name: str) -> int:
    """Return a whole number of a JSON object, 0 to 999999999999999. Raises: Refused."""
    value = fields.get(name)
    if type(value) is not int or not 0 <= value < 10**15:
        raise Refused("request.bad", f"{name} must be a whole number.")
    return value
