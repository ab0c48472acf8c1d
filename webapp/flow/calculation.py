"""Asking the calculation core: only here on the server, and only through its door."""

import json
from typing import Any

from webapp.core import door
from webapp.core.errors import BadInput
from webapp.store.journal import Entry


class CoreFailed(RuntimeError):
    """The core could not work with what it was given; the message names the field."""


def answered(request: dict[str, Any]) -> dict[str, Any]:
    """Return the answer to one request, an error too."""
    answer: dict[str, Any] = json.loads(door.call(json.dumps(request)))
    return answer


def ask(request: dict[str, Any]) -> dict[str, Any]:
    """Return the core's answer to one request.

    Raises:
        CoreFailed: the core answered with an error.
    """
    answer = answered(request)
    if "error" in answer:
        raise CoreFailed(f"{answer['error']['field']}: {answer['error']['message']}")
    return answer


def ask_for_input(request: dict[str, Any]) -> dict[str, Any]:
    """Return the same for a request that holds what somebody typed.

    Raises:
        BadInput: the core cannot use a field of it.
        CoreFailed: the fault lies in the core.
    """
    answer = answered(request)
    if "error" not in answer:
        return answer
    if answer["error"]["field"] is None:
        raise CoreFailed(answer["error"]["message"])
    raise BadInput(answer["error"]["field"], answer["error"]["message"])


def payload_of(payload: bytes) -> dict[str, Any]:
    """Return what the bytes of a stored record say."""
    said: dict[str, Any] = json.loads(payload)
    return said


def body_of(entry: Entry) -> dict[str, Any]:
    """Return the body of a stored record."""
    body: dict[str, Any] = payload_of(entry.payload)["body"]
    return body


def as_entry(entry: Entry) -> dict[str, Any]:
    """Return a stored record in the form the core takes."""
    payload = payload_of(entry.payload)
    return {"id": entry.id, "payload": payload, "received": entry.n, "state": "ok"}
