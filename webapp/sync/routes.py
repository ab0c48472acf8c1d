"""The addresses a phone calls when it has a network."""

import msgspec
from flask import Blueprint, Response, g, request
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.core_bundle import core_sha256
from webapp.flow import clock, device_clocks, device_list, devices, pull, receive, status
from webapp.flow.actor import Actor
from webapp.flow.refusal import Refused
from webapp.sync import bodies

bp = Blueprint("sync", __name__, url_prefix="/sync")

KEY_HEADER = "X-Lampside-Key"
"""Optional: the key id of the calling device, so that a pull too counts as heard from."""


class PushRequest(msgspec.Struct):
    """The body of a push; what is in each envelope is judged one by one."""

    records: list[object]


_read_push = msgspec.json.Decoder(PushRequest).decode


@bp.before_request
def note_device() -> None:
    """Turn strangers away, and note that this person's device was heard from."""
    actor = gate.current_actor()
    if kid := _own_key():
        devices.heard_from(actor, kid)


def _own_key() -> str | None:
    """Return the key that the caller names, or the one that this session was enrolled with."""
    return request.headers.get(KEY_HEADER) or g.signed_in.kid


@bp.post("/push")
def push() -> ResponseReturnValue:
    """Take a batch of records; the answer holds one receipt for each, in order."""
    try:
        sent = _read_push(bodies.request_body())
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        raise Refused("request.bad", "Send an object with a list of records.") from error
    receipts = receive.push(gate.current_actor(), sent.records)
    return _json({**_header(), "receipts": [_receipt(receipt) for receipt in receipts]})


@bp.get("/pull")
def pull_page() -> ResponseReturnValue:
    """Give the next page of a site's records after the reader's cursor."""
    site = gate.argument("site")
    after, limit = _number("after", 0), _number("limit", 200)
    epoch = _number("epoch", 0) if gate.argument("epoch") else None
    page = pull.page(gate.current_actor(), site, after, epoch, limit)
    return _json(
        {
            "epoch": page.epoch,
            "site": site,
            "from": page.start,
            "to": page.end,
            "head": page.head,
            "records": page.records,
            "restart": page.restart,
        }
    )


@bp.get("/person")
def person() -> ResponseReturnValue:
    """Give every record of one person, to a phone that keeps them no more."""
    records = pull.of_person(gate.current_actor(), gate.argument("person"))
    return _json({"epoch": pull.epoch(), "records": records})


@bp.get("/keys")
def keys() -> ResponseReturnValue:
    """Give every public key, so that a phone can check what others signed."""
    return {"keys": devices.keys()}


@bp.get("/status")
def show_status() -> ResponseReturnValue:
    """Give the devices heard from and what recomputing the plans gave; note the caller's clock."""
    actor = gate.current_actor()
    if (kid := _own_key()) and (wall := gate.argument("wall")[:40]):
        device_clocks.note_skew(actor, kid, wall)
    return {**_header(), "core": core_sha256(), **_status(actor)}


def _status(actor: Actor) -> dict[str, object]:
    return {
        "devices": [
            {
                "kid": row.kid,
                "user": row.user_id,
                "name": row.name,
                "label": row.label,
                "last_heard": row.last_heard,
                "sent": row.sent,
            }
            for row in device_list.listing(actor)
            if row.may_still_send
        ],
        "checks": [check._asdict() for check in status.checks(actor)],
    }


def _json(value: dict[str, object]) -> Response:
    """Return a large answer as JSON, several times faster than the framework does."""
    return bodies.answer(msgspec.json.encode(value))


def _header() -> dict[str, object]:
    return {"epoch": pull.epoch(), "server_time": clock.instant()}


def _receipt(receipt: receive.Receipt) -> dict[str, object]:
    why = receipt.reason
    reason = {"code": why.code, "message": why.message} if why else None
    return {"id": receipt.id, "result": receipt.result, "n": receipt.n, "reason": reason}


def _number(name: str, otherwise: int) -> int:
    """Return a whole number of the address, given at most once."""
    text = gate.argument(name, str(otherwise))
    if not (text.isascii() and text.isdigit() and len(text) <= 15):
        raise Refused("request.bad", f"{name} must be one whole number.")
    return int(text)
