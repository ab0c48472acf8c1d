"""Vault models as a surgeon's records: who may adopt one, and what a plan then binds."""

import copy
import json
from typing import Any

import pytest

from tests.hospital import WALL, Hospital, Phone, plan_of
from tests.records.vectors import read
from webapp.core import door
from webapp.flow import folding, recheck, reference, vault_model_file
from webapp.flow.refusal import Refused
from webapp.records.envelope import digest_of
from webapp.store import journal

SCAN: dict[str, Any] = read("kinds")["payloads"]["vault_model.adopted"]["body"]
WHITE: dict[str, Any] = {
    **SCAN, "title": "Harbour caliper", "diameter_kind": "white_to_white", "device": None,
    "features": ["one", "excess_mm"], "centre_lens_rise_um": None, "mean_um_e3": [500000, 550000],
    "V_e9": [76972153, 0, 708693713],
}  # fmt: skip
KIND = folding.VAULT_MODEL
SAID = {name: SCAN[name] for name in ("title", "diameter_kind", "device", "fitted_on")}


def answer_of_calc() -> dict[str, Any]:
    """Return what the calculation answers for the worked centre of 12 eyes."""
    (worked,) = [one for one in read("vault") if one["id"] == "C-nig-post"]  # type: ignore[call-overload]
    asked = {"do": "calc", "name": "vault-model", "input": worked["input"]}
    answer: dict[str, Any] = json.loads(door.call(json.dumps(asked)))
    return answer


class TestAdopt:
    """Putting a model in force."""

    def test_by_a_surgeon_only(self, hospital: Hospital) -> None:
        """An administrator answers for the catalogue, not for a clinical model."""
        for name in ("rook", "fenn", "ambler"):
            with pytest.raises(Refused, match="needs the role surgeon"):
                reference.adopt(hospital.actor(name), KIND, SCAN)
        record_id = reference.adopt(hospital.actor("verrill"), KIND, SCAN)
        (found,) = folding.in_force()["vault_models"]
        assert found == {"id": record_id, "author": "u-verrill", "body": SCAN}
        (version,) = reference.versions(KIND)
        assert (version.name, version.id) == ("Dr S. Verrill", record_id)

    @pytest.mark.parametrize(
        "changed",
        [{"V_e9": [1, 2, 0, 1, 0, 1]}, {"n_eyes": None}, {"title": "x" * 41}, {"price": 1}],
    )
    def test_one_that_no_plan_can_use_is_not_kept(
        self, hospital: Hospital, changed: dict[str, Any]
    ) -> None:
        """Nothing is written."""
        with pytest.raises(Refused):
            reference.adopt(hospital.actor("verrill"), KIND, {**SCAN, **changed})
        assert reference.versions(KIND) == []

    def test_a_phone_cannot_make_one(self, hospital: Hospital) -> None:
        """Only the desk's key signs it."""
        phone = Phone(hospital.actor("verrill"), "surgeon", "all")
        (receipt,) = phone.push(phone.record(KIND, None, None, SCAN))
        assert receipt.reason is not None and receipt.reason.code == "kind.signer"


def sent_under_a_model(hospital: Hospital) -> tuple[str, str, dict[str, Any]]:
    """Adopt a model, measure and send an eye; return adoption, person and the request's payload."""
    hospital.adopt_reference()
    record_id = reference.adopt(hospital.actor("verrill"), KIND, WHITE)
    camp = hospital.phone()
    person = camp.register()
    camp.measure(person, "R")
    request = camp.send_for_plan(person, "R")
    return record_id, person, json.loads(journal.entries_by_id([request])[request].payload)


class TestPlans:
    """What it does to plans, approvals and their checks."""

    def test_a_plan_binds_it_and_is_computed_again_with_it(self, hospital: Hospital) -> None:
        """Made under a model, judged under the same one, whatever is adopted later."""
        record_id, _, payload = sent_under_a_model(hospital)
        assert payload["body"]["shown"]["vault_model"] == record_id
        reference.adopt(hospital.actor("verrill"), KIND, {**WHITE, "mean_um_e3": [400000, 500000]})
        assert recheck.compare(payload).result == recheck.AGREES

    def test_a_model_that_was_not_used_is_noticed(self, hospital: Hospital) -> None:
        """A phone that names another model than its numbers come from does not agree."""
        hospital.adopt_reference()
        camp = hospital.phone()
        person = camp.register()
        camp.measure(person, "R")
        shown = copy.deepcopy(plan_of(person, "R")["shown"])
        shown["vault_model"] = reference.adopt(hospital.actor("verrill"), KIND, WHITE)
        body = {"shown": shown, "digest": digest_of(shown)}
        request = camp.keep("plan.request", person, "R", body)
        payload = json.loads(journal.entries_by_id([request])[request].payload)
        assert recheck.compare(payload).result == recheck.DIFFERS

    def test_one_that_is_not_here_is_refused(self, hospital: Hospital) -> None:
        """Nobody can check a plan whose model is unknown."""
        hospital.adopt_reference()
        camp = hospital.phone()
        person = camp.register()
        camp.measure(person, "R")
        shown = {**plan_of(person, "R")["shown"], "vault_model": "0" * 64}
        body = {"shown": shown, "digest": digest_of(shown)}
        (receipt,) = camp.push(camp.record("plan.request", person, "R", body))
        assert receipt.reason is not None and receipt.reason.code == "reference.unknown"


class TestWithdraw:
    """Taking a model out of force."""

    WHY = "The scanner was calibrated anew."

    def test_by_a_surgeon_with_a_reason(self, hospital: Hospital) -> None:
        """Another surgeon than the one who adopted it may; nobody else, and not without words."""
        record_id = reference.adopt(hospital.actor("verrill"), KIND, SCAN)
        for name in ("rook", "fenn", "ambler"):
            with pytest.raises(Refused, match="needs the role surgeon"):
                reference.withdraw_vault_model(hospital.actor(name), record_id, self.WHY)
        with pytest.raises(Refused, match="ten characters") as short:
            reference.withdraw_vault_model(hospital.actor("hale"), record_id, " no good ")
        assert short.value.field == "why"
        assert [one["id"] for one in folding.in_force()["vault_models"]] == [record_id]
        reference.withdraw_vault_model(hospital.actor("hale"), record_id, self.WHY)
        assert folding.in_force()["vault_models"] == []
        assert reference.withdrawn() == {record_id: (self.WHY, "Dr P. Hale")}

    def test_once_and_only_what_was_adopted(self, hospital: Hospital) -> None:
        """A second withdrawal, or one of nothing, is refused."""
        actor = hospital.actor("verrill")
        record_id = reference.adopt(actor, KIND, SCAN)
        with pytest.raises(Refused, match="no such adopted"):
            reference.withdraw_vault_model(actor, "0" * 64, self.WHY)
        reference.withdraw_vault_model(actor, record_id, self.WHY)
        with pytest.raises(Refused, match="withdrawn already"):
            reference.withdraw_vault_model(actor, record_id, self.WHY)

    def test_a_plan_made_before_still_agrees_with_itself(self, hospital: Hospital) -> None:
        """It is computed again under the model that it names; new plans use the default prior."""
        record_id, person, payload = sent_under_a_model(hospital)
        reference.withdraw_vault_model(hospital.actor("verrill"), record_id, self.WHY)
        assert recheck.compare(payload).result == recheck.AGREES
        assert plan_of(person, "R")["model"]["name"] == "default prior"


class TestFile:
    """From the calculation's answer to a record."""

    def test_the_answer_as_it_stands(self) -> None:
        """The worked centre becomes the record of the vectors, number for number."""
        answer = answer_of_calc()
        assert vault_model_file.body_of({**SAID, "from_calc": answer}) == SCAN
        model = {**SAID, "from_calc": answer["model"], "n": 12}
        assert vault_model_file.body_of(model) == SCAN

    def test_a_whole_body_is_kept(self) -> None:
        """Nothing is changed in it."""
        assert vault_model_file.body_of(SCAN) == SCAN

    @pytest.mark.parametrize(
        "bad",
        [None, {}, [], "x", {"model": {"features": ["one"]}}, {"model": None, "n": 1}],
    )
    def test_an_answer_that_is_not_whole(self, bad: object) -> None:
        """Said in a sentence that names the field."""
        with pytest.raises(Refused, match="not the answer of calc vault-model"):
            vault_model_file.body_of({**SAID, "from_calc": bad})

    def test_numbers_that_are_none(self) -> None:
        """Text, truth values and infinities are no numbers; other names are no fields."""
        model = answer_of_calc()["model"]
        for wrong in ("10", True, float("inf"), None):
            with pytest.raises(Refused):
                brought = {**SAID, "from_calc": {**model, "a": wrong}, "n": 12}
                vault_model_file.body_of(brought)
        with pytest.raises(Refused, match="no field surgeon"):
            vault_model_file.body_of({**SAID, "from_calc": {"model": model}, "surgeon": WALL})
