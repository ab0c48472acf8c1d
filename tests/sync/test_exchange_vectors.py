"""The exchange by its golden vectors, over HTTP: the same that the phone's tests are held to."""

from typing import Any

from tests.hospital import Hospital
from tests.records.vectors import Case, read
from webapp.records.envelope import from_base64url
from webapp.store import devices, installation
from webapp.store.database import writing

ENROLLED_AT = "2026-11-25T04:00:00.000Z"
VECTORS = read("sync_exchange")
RECORDS = VECTORS["records"]
NAME_OF = {record["id"]: name for name, record in RECORDS.items()}


def envelope(name: str) -> dict[str, str]:
    """Return a record of the vectors as it travels."""
    return {part: RECORDS[name][part] for part in ("p", "kid", "sig")}


def enrol_devices() -> None:
    """Enrol the devices of the vectors, but for the stranger's."""
    with writing():
        for one in VECTORS["devices"]:
            if one["enrolled"]:
                spki = from_base64url(one["spki"], "spki")
                devices.add(one["kid"], spki, one["user"], "vector", ENROLLED_AT)
                devices.confirm(one["kid"], None, ENROLLED_AT)


def test_the_base_answers_as_written(hospital: Hospital) -> None:
    """Each push and pull in turn: receipts, numbers, page bounds and restarts."""
    enrol_devices()
    for step in VECTORS["base"]:
        found = pushed(hospital, step) if "push" in step else pulled(hospital, step)
        assert found == step.get("receipts", step.get("answer")), step["name"]


def pushed(hospital: Hospital, step: Case) -> list[dict[str, Any]]:
    """Push the records of a step and return the receipts in the vectors' words."""
    body = {"records": [envelope(name) for name in step["push"]]}
    answer = hospital.client(step["by"]).post("/sync/push", body).json
    assert answer["epoch"] == installation.epoch()
    return [
        {
            "record": NAME_OF[one["id"]],
            "result": one["result"],
            "n": one["n"],
            "code": one["reason"]["code"] if one["reason"] else None,
        }
        for one in answer["receipts"]
    ]


def pulled(hospital: Hospital, step: Case) -> dict[str, Any]:
    """Pull the page of a step and return it in the vectors' words; bytes are as they were sent."""
    asked = step["pull"]
    now = installation.epoch()
    epoch = {"now": now, "before": now - 1, "": ""}[asked["epoch"]]
    rest = f"site={asked['site']}&after={asked['after']}&limit={asked['limit']}"
    page = hospital.client(step["by"]).get(f"/sync/pull?{rest}&epoch={epoch}").json
    names = []
    for place, one in enumerate(page["records"], start=page["from"] + 1):
        names.append(next(name for name in RECORDS if envelope(name)["p"] == one["p"]))
        assert {part: one[part] for part in ("p", "kid", "sig")} == envelope(names[-1])
        assert one["n"] == place
    assert (page["epoch"], page["site"]) == (now, asked["site"])
    return {**{name: page[name] for name in ("from", "to", "head", "restart")}, "records": names}
