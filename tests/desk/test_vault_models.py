"""The surgeon's page of vault models: one is read, looked at, and adopted with a name."""

import json
from html import unescape
from io import BytesIO
from typing import Any

import pytest
from werkzeug.test import TestResponse

from tests.desk.conftest import Desk, ReadyCase
from tests.hospital import Hospital
from tests.records.vectors import read
from webapp.demo_people import PASSPHRASE
from webapp.flow import folding, reference

PAGE = "/desk/vault-models"
SCAN: dict[str, Any] = read("kinds")["payloads"]["vault_model.adopted"]["body"]
WHITE: dict[str, Any] = {
    **SCAN, "diameter_kind": "white_to_white", "device": None, "features": ["one", "excess_mm"],
    "centre_lens_rise_um": None, "mean_um_e3": [500000, 550000],
    "V_e9": [76972153, 0, 708693713],
}  # fmt: skip
"""Of the kind that the ready case was measured with."""


@pytest.fixture
def verrill(hospital: Hospital) -> Desk:
    """Return the surgeon's browser on the page."""
    desk = Desk(hospital.client("verrill"))
    desk.get(PAGE)
    return desk


def bring(desk: Desk, data: bytes) -> TestResponse:
    """Bring a model as a file."""
    fields = {"csrf_token": desk.token, "file": (BytesIO(data), "model.json")}
    return desk.client.flask.post(f"{PAGE}/look", data=fields)


def adopt(desk: Desk, body: dict[str, Any] = SCAN, passphrase: str = PASSPHRASE) -> TestResponse:
    """Adopt a model that was looked at."""
    return desk.post(f"{PAGE}/adopt", body=json.dumps(body), passphrase=passphrase)


def test_a_model_is_shown_and_not_adopted(verrill: Desk) -> None:
    """What it is for and its coefficients are on the page; plans still use the default prior."""
    page = unescape(bring(verrill, json.dumps(SCAN).encode()).text)
    assert "Harbour scanner 2: sulcus-to-sulcus by scanner 2, fitted on 12 own eyes." in page
    assert ">578.3<" in page and ">-406.2<" in page and "Adopt this model" in page
    assert folding.in_force()["vault_models"] == []


def test_few_eyes_are_said(verrill: Desk) -> None:
    """Below 10 own eyes plans will not call it centre-adjusted."""
    page = unescape(bring(verrill, json.dumps({**SCAN, "n_eyes": 9}).encode()).text)
    assert "Fewer than 10 own eyes" in page


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"\xff", "not JSON in UTF-8"),
        (b"[" * 9000, "not JSON in UTF-8"),
        (b"[]", "one JSON object"),
        (b" " * 50_001, "larger than 50 kB"),
        (json.dumps({**SCAN, "device": ""}).encode(), "device: Device is still empty."),
        (json.dumps({**SCAN, "V_e9": [0] * 6}).encode(), "positive definite"),
        (b'{"from_calc": 1}', "not the answer of calc vault-model"),
    ],
)
def test_what_is_wrong_is_said_beside_the_file(verrill: Desk, data: bytes, says: str) -> None:
    """Nothing can be adopted from it."""
    answer = bring(verrill, data)
    assert answer.status_code == 422
    assert says in unescape(answer.text) and "Adopt this model" not in answer.text


def test_adopted_with_who_and_for_what(verrill: Desk) -> None:
    """It is in force under the surgeon's name."""
    assert adopt(verrill).status_code == 302
    page = unescape(verrill.get(PAGE).text)
    assert "Harbour scanner 2, in force" in page and "<td>Dr S. Verrill</td>" in page


@pytest.mark.parametrize("passphrase", ["", "not this one"])
def test_not_without_the_passphrase(verrill: Desk, passphrase: str) -> None:
    """Nothing is adopted, and the model is still there to adopt."""
    answer = adopt(verrill, passphrase=passphrase)
    assert answer.status_code == 422
    assert "Adopt this model" in answer.text and "not this one" not in answer.text
    assert folding.in_force()["vault_models"] == []


@pytest.mark.parametrize("name", ["fenn", "rook", "ambler"])
def test_only_for_surgeons(hospital: Hospital, name: str) -> None:
    """Neither the page nor an adoption is for others."""
    desk = Desk(hospital.client(name))
    desk.get("/desk/")
    assert desk.get(PAGE).status_code == 403
    assert adopt(desk).status_code == 403
    assert folding.in_force()["vault_models"] == []


def test_an_approval_under_the_old_model_falls(
    hospital: Hospital, desk: Desk, case: ReadyCase
) -> None:
    """The desk cannot order it, and its page says why and who adopted the new model."""
    desk.get(case.page)
    reference.adopt(hospital.actor("verrill"), folding.VAULT_MODEL, WHITE)
    assert case.order(desk).status_code == 409
    page = unescape(desk.get(case.page).text)
    assert "The vault model of this eye changed after this approval." in page
    assert "centre-adjusted on 12 own eyes" in page and "adopted by Dr S. Verrill" in page


def test_withdrawn_with_a_reason_and_the_passphrase(
    hospital: Hospital, desk: Desk, case: ReadyCase
) -> None:
    """Without either nothing changes; then its approvals fall by name, and the page says why."""
    adoption = reference.adopt(hospital.actor("verrill"), folding.VAULT_MODEL, WHITE)
    surgeon = Desk(hospital.client("verrill"))
    assert "Withdraw this model" in surgeon.get(PAGE).text
    why = "The caliper was exchanged & never calibrated."
    for given in (
        {"why": "too short", "withdraw_passphrase": PASSPHRASE},
        {"why": why, "withdraw_passphrase": "not this one"},
        {"why": "", "withdraw_passphrase": PASSPHRASE},
        {"why": why, "withdraw_passphrase": ""},
    ):
        answer = surgeon.post(f"{PAGE}/withdraw", adoption=adoption, **given)
        assert answer.status_code == 422
        assert given["why"].replace("&", "&amp;") in answer.text
        assert "not this one" not in answer.text
    assert [one["id"] for one in folding.in_force()["vault_models"]] == [adoption]
    given = {"adoption": adoption, "why": why, "withdraw_passphrase": PASSPHRASE}
    assert surgeon.post(f"{PAGE}/withdraw", **given).status_code == 302
    page = unescape(surgeon.get(PAGE).text)
    assert f"withdrawn by Dr S. Verrill: {why}" in page and "Withdraw this model" not in page
    page = unescape(desk.get(case.page).text)
    assert f"Harbour scanner 2 was withdrawn: {why}" in page and "Default prior" in page
