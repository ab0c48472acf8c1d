"""The phone of the simulation does what the browser's code does: both pass one file."""

import json
import re
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from tests.simulation import putting_off
from tests.simulation.base import signing_key
from tests.simulation.phone_store import PhoneStore, Row, is_not_yet
from webapp.bootstrap import ROOT

SITE = "saltpan"
RECEIVED = datetime(2026, 11, 25, 5, tzinfo=UTC)
FLOW = ROOT / "webapp" / "flow"
VECTORS = json.loads((ROOT / "tests" / "vectors" / "phone_model.json").read_text(encoding="utf-8"))


def row(name: str, received: int | None = None) -> Row:
    """Return a record as a name stands for it: its key, then its place in the chain."""
    kid, seq = name[0], int(name[1:])
    prev = f"{kid}{seq - 1}" if seq > 1 else None
    kind = "person.registered" if name in ("o1", "q1") else "reading.white_to_white"
    payload = {"prev": prev, "person": "q" if kid == "q" else "o", "kind": kind}
    at = None if received is None else RECEIVED.isoformat()
    return Row(name, kid, seq, SITE, {}, payload, received, "ok", at)


def told(store: PhoneStore, step: dict[str, Any]) -> object:
    """Hand one message to the phone and return its answer, None where there is none."""
    if "keep" in step:
        assert store.keep(row(step["keep"]))
    elif "receipt" in step:
        store.keep_receipt(step["receipt"], step["epoch"])
    elif "try_again" in step:
        store.try_again(step["try_again"])
    elif "next_key" in step:
        store.next_key = signing_key(1)
    elif "take_next_key" in step:
        store.take_next_key(step["take_next_key"])
    elif "closed" in step:
        assert store.given_up == step["closed"]
        store.given_up = None
    elif "put_off" in step:
        now = RECEIVED + timedelta(days=step["days"], seconds=1)
        return putting_off.put_off(store, step["put_off"], now)
    elif "take_back" in step:
        rows = [row(name, place + 1) for place, name in enumerate(step["given"])]
        news = step["asked_at"]
        return putting_off.take_back(store, step["take_back"], step["epoch"], rows, news)
    elif "epoch_heard" in step:
        return store.note_epoch(step["epoch_heard"])
    else:
        said = step["page"]
        rows = [row(name, said["from"] + place + 1) for place, name in enumerate(said["records"])]
        page = {**said, "site": SITE, "to": said["from"] + len(rows), "records": rows}
        return store.store_page(page)
    return None


def given_up(store: PhoneStore) -> list[object] | None:
    """Return the key that was given up and its last place."""
    old = store.given_up
    return None if old is None else [old, store.heads.get(old, (0, ""))[0]]


def refusal(code: str) -> dict[str, Any]:
    """Return a receipt that refuses a record."""
    return {"id": "o1", "result": "refused", "n": None, "code": code}


def test_what_may_still_come_is_waited_for() -> None:
    """And nothing else is."""
    assert [code for code in VECTORS["waits"] if not is_not_yet(refusal(code))] == []
    assert [code for code in VECTORS["stops"] if is_not_yet(refusal(code))] == []


def test_each_code_for_something_not_here_yet_is_among_them() -> None:
    """The rules' own text is read: a new rule that waits for something has to be added."""
    text = "".join(path.read_text(encoding="utf-8") for path in FLOW.glob("admission*.py"))
    said = re.findall(r'"(\w+\.unknown)", "[^"]* not here', text)
    named = re.findall(r'_(?:named|same_case)\(payload, ledger, "(\w+)"', text)
    found = {*said, *(f"{name}.unknown" for name in named)}
    assert {"person.unknown", "seen.unknown", "decision.unknown", "order.unknown"} <= found
    assert found - set(VECTORS["waits"]) == set()


@pytest.mark.parametrize("scenario", VECTORS["scenarios"], ids=lambda one: one["name"])
def test_scenario(scenario: dict[str, Any]) -> None:
    """Each message leaves the phone in the state that is written down."""
    store = PhoneStore()
    store.note_epoch("1")
    for step in scenario["steps"]:
        assert told(store, step) == step.get("answer")
        in_order = sorted(store.outbox, key=lambda name: (name[0], int(name[1:])))
        assert step["records"] == {n: [r.received, r.state] for n, r in store.records.items()}
        for state in ("waiting", "refused"):
            assert step[state] == [name for name in in_order if store.outbox[name][0] == state]
        assert step["cursor"] == store.cursors.get(SITE, 0)
        if "news" in step:
            assert step["news"] == store.put_off
        if "given_up" in step:
            assert step["given_up"] == given_up(store)
