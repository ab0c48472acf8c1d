"""The base's answers to a phone, as ``webapp/sync/routes.py`` gives them."""

from typing import Any

from tests.simulation import base
from webapp.demo_people import PASSPHRASE
from webapp.flow import key_closing, pull, receive
from webapp.flow.refusal import NotFound


def answer(name: str, what: str, asked: dict[str, Any]) -> dict[str, Any]:
    """Answer one request of a phone as ``webapp/sync/routes.py`` does."""
    if what == "push":
        receipts = receive.push(base.actor(name), asked["records"])
        return {"epoch": str(pull.epoch()), "receipts": [_receipt(one) for one in receipts]}
    if what == "pull":
        page = pull.page(
            base.actor(name), asked["site"], asked["after"], asked["epoch"], asked["limit"]
        )
        return {
            "epoch": str(page.epoch), "site": asked["site"], "from": page.start, "to": page.end,
            "head": page.head, "records": page.records, "restart": page.restart,
        }  # fmt: skip
    if what == "person":
        return {"epoch": str(pull.epoch()), "records": _of_person(name, asked["person"])}
    if what == "name_key":
        return {"code": base.code_of(lambda: base.enrol(name, asked["key"]))}
    if what == "renewed":
        said = key_closing.Renewal(asked["kid"], asked["successor"], asked["signed"])
        return {"code": base.code_of(lambda: key_closing.renew(base.actor(name), said, PASSPHRASE))}
    return {"epoch": str(pull.epoch())}


def _of_person(name: str, person: str) -> list[dict[str, object]]:
    try:
        return pull.of_person(base.actor(name), person)
    except NotFound:
        return []


def _receipt(one: receive.Receipt) -> dict[str, Any]:
    code = one.reason.code if one.reason else None
    return {"id": one.id, "result": one.result, "n": one.n, "code": code}
