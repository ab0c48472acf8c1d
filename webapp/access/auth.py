"""Signing in and enrolling a device, for the app: JSON in, JSON out."""

from flask import Blueprint, current_app, g
from flask.typing import ResponseReturnValue
from flask_wtf.csrf import generate_csrf

from webapp.access import gate
from webapp.flow import accounts, clock, devices, key_closing, people, pull, recovery_key
from webapp.flow.actor import Actor
from webapp.flow.key_closing import Renewal
from webapp.flow.refusal import Refused

bp = Blueprint("auth", __name__, url_prefix="/auth")


@bp.get("/token")
def token() -> ResponseReturnValue:
    """Give the token that every change must carry in ``X-CSRFToken``."""
    return {"csrf": generate_csrf()}


@bp.post("/sign-in")
def sign_in() -> ResponseReturnValue:
    """Sign in by name and passphrase; the answer holds the new session's token."""
    fields = gate.json_object()
    actor = gate.begin_session(
        gate.text_of(fields, "name", 200), gate.text_of(fields, "passphrase", 1000)
    )
    return {**_about(actor), "csrf": generate_csrf(), "recovery": recovery_key.public()}


@bp.get("/me")
def me() -> ResponseReturnValue:
    """Say who is signed in."""
    return _about(gate.current_actor())


@bp.post("/sign-out")
def sign_out() -> ResponseReturnValue:
    """End the session, on the server too."""
    gate.json_object()
    gate.end_session()
    return {"signed_out": 1}


@bp.post("/enrol")
@gate.signed_in_only
def enrol() -> ResponseReturnValue:
    """Keep this device's public key for the person who has just given the passphrase."""
    fields = gate.json_object()
    if "passphrase" in fields:
        accounts.confirm(gate.current_actor(), gate.text_of(fields, "passphrase", 1000))
    else:
        accounts.require_fresh(g.signed_in)
    kid = devices.enrol(
        gate.current_actor(), gate.text_of(fields, "spki", 400), gate.text_of(fields, "label", 80),
        at_once=not current_app.config["PHONES_WAIT"],
    )  # fmt: skip
    devices.bind_session(g.signed_in.session_id, kid)
    state = devices.state_of(kid)._asdict()
    return {"kid": kid, "server_time": clock.instant(), "epoch": pull.epoch(), "key": state}


@bp.post("/key/renewed")
def renewed() -> ResponseReturnValue:
    """Close the key that this phone gave up for a new one, once all that it signed is here."""
    fields = gate.json_object()
    key_closing.renew(
        gate.current_actor(),
        Renewal(
            gate.text_of(fields, "kid", 64), gate.text_of(fields, "successor", 64),
            gate.count_of(fields, "signed"),
        ),
        gate.text_of(fields, "passphrase", 1000),
    )  # fmt: skip
    return {"closed": 1}


@bp.get("/key")
def key() -> ResponseReturnValue:
    """Say how a key stands, by its id; for a phone whose session ended with it, too."""
    return {"key": devices.state_of(gate.argument("kid"))._asdict()}


def _about(actor: Actor) -> dict[str, object]:
    own = actor.sites()
    if not own:
        raise Refused("role.missing", "This account has no role yet; ask your administrator.")
    return {
        "user": {
            "id": actor.user_id,
            "name": actor.name,
            "roles": [{"role": held.role, "site": held.site} for held in actor.roles],
        },
        "sites": [{"id": site, "title": title} for site, title in people.sites() if site in own],
        "server_time": clock.instant(),
    }
