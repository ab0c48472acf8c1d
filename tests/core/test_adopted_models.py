"""A centre's own vault model: used for its diameter and device only, and bound by approvals.

The worked centre has 12 invented eyes (``tests/vectors/vault.json``, C-nig): its predictions were
computed and checked against scipy and the joint multivariate t.
"""

import json
from typing import Any

import pytest

from tests.core import decided, records
from tests.core.decided import approval, eye_of, sent
from tests.core_runtime import Core
from webapp.core import adopted_models
from webapp.core.lens_length import Window
from webapp.core.plan import measure_next

BODY: dict[str, Any] = {
    "title": "Harbour scanner 2", "diameter_kind": "sulcus_to_sulcus", "device": "Ultrasound  1",
    "features": ["one", "excess_mm", "lens_rise_mm"], "centre_excess_um": 500,
    "centre_lens_rise_um": 300, "mean_um_e3": [529701, 578327, -406233],
    "V_e9": [76972153, -13983806, 64091825, 708693713, -112751123, 2084469411],
    "a_e3": 10000, "b_um2_e3": 105438010, "n_eyes": 12, "fitted_on": "12 invented eyes",
}  # fmt: skip
WHITE: dict[str, Any] = {
    **BODY, "title": "Harbour calliper", "diameter_kind": "white_to_white", "device": None,
    "features": ["one", "excess_mm"], "centre_lens_rise_um": None, "mean_um_e3": [450000, 600000],
    "V_e9": [76972153, -13983806, 708693713],
}  # fmt: skip
LENGTHS_UM = [12250, 12500, 12750, 13000]


def reference(*bodies: dict[str, Any]) -> dict[str, Any]:
    """Return the reference records with these vault models, newest first, and worked lengths."""
    lens = {**records.MODEL_T, "lengths_um": LENGTHS_UM}
    catalogue = {"id": "a" * 64, "body": {"title": "Demo", "demo": 1, "models": [lens]}}
    models = [
        {"id": f"{number:064x}", "author": "u-verrill", "body": body}
        for number, body in enumerate(bodies, start=1)
    ]
    return {**records.REFERENCE, "catalogue": catalogue, "vault_models": models}


def eye(*, rise: bool = True, sulcus: bool = True) -> list[records.Entry]:
    """Return a whole eye, by default with a sulcus scan of 12.10 mm and a lens rise of 0.33 mm."""
    entries = records.whole_eye()
    if sulcus:
        entries.append(records.reading("reading.sulcus_to_sulcus"))
    if rise:
        entries.append(records.reading("reading.lens_rise"))
    return entries


def planned(core: Core, entries: list[records.Entry], *bodies: dict[str, Any]) -> Any:  # noqa: ANN401
    """Return the plan with these vault models in force."""
    asked = records.plan_request(entries, reference=reference(*bodies))
    return json.loads(core("door", "call", json.dumps(asked))["value"])


class TestWorkedCentre:
    """Twelve eyes, then one more."""

    def test_predictions_of_each_length(self, core: Core) -> None:
        """Mean, scale, chances and loss of the worked table, each rounded to its unit."""
        lengths = planned(core, eye(), BODY)["lengths"]
        assert [one["length_um"] for one in lengths] == LENGTHS_UM
        assert [one["mean_um"] for one in lengths] == [315, 460, 604, 749]
        assert [one["scale_um"] for one in lengths] == [112, 107, 107, 112]
        assert {one["dof"] for one in lengths} == {20}
        assert [one["loss_um"] for one in lengths] == [42, 4, 6, 46]
        for one, worked in zip(lengths, [7164, 9607, 9033, 5040], strict=True):
            assert abs(one["p_in_e4"] - worked) <= 1

    def test_says_which_model_speaks(self, core: Core) -> None:
        """Name, eyes, diameter, device and who adopted it; an approval would sign its id."""
        plan = planned(core, eye(), BODY)
        assert plan["model"]["text"] == (
            "Harbour scanner 2, centre-adjusted on 12 own eyes; sulcus-to-sulcus by Ultrasound  1"
        )
        assert (plan["model"]["author"], plan["model"]["n_eyes"]) == ("u-verrill", 12)
        assert plan["shown"]["model"] == plan["model"]["text"]
        assert plan["shown"]["vault_model"] == plan["model"]["id"] == f"{1:064x}"

    @pytest.mark.parametrize(
        ("n_eyes", "says"),
        [
            (9, "9 own eyes, too few to call it centre-adjusted"),
            (1, "1 own eye, too few"),
            (10, "centre-adjusted on 10 own eyes"),
        ],
    )
    def test_ten_eyes_before_it_is_centre_adjusted(
        self, core: Core, n_eyes: int, says: str
    ) -> None:
        """Nine eyes are used and not called enough."""
        assert says in planned(core, eye(), {**BODY, "n_eyes": n_eyes})["model"]["text"]

    def test_the_working_shows_its_numbers(self, core: Core) -> None:
        """Coefficients, a and b of the adopted model, and what it was fitted on."""
        asked = {**records.plan_request(eye(), reference=reference(BODY)), "do": "working"}
        steps = json.loads(core("door", "call", json.dumps(asked))["value"])["steps"]
        text = json.dumps(steps, ensure_ascii=False)
        for shown in ("529.70 \u00b5m", "578.33 \u00b5m per mm", "105438", "12 invented eyes"):
            assert shown in text


class TestChosen:
    """Which eyes a model speaks for."""

    @pytest.mark.parametrize(
        "other",
        [
            {"diameter_kind": "white_to_white"},
            {"device": "ultrasound 2"},
        ],
    )
    def test_refused_for_another_kind_or_device(self, core: Core, other: dict[str, str]) -> None:
        """The plan is the one without any model, to the last number."""
        plan = planned(core, eye(), {**BODY, **other})
        assert plan == planned(core, eye())
        assert plan["shown"]["vault_model"] is None

    def test_not_without_the_lens_rise_that_it_needs(self, core: Core) -> None:
        """The default prior speaks, or an older model that does without."""
        plain = {**WHITE, "title": "Plain", "diameter_kind": "sulcus_to_sulcus"}
        assert planned(core, eye(rise=False), BODY)["model"]["id"] is None
        assert planned(core, eye(rise=False), BODY, plain)["model"]["name"] == "Plain"

    def test_one_that_does_without_the_lens_rise(self, core: Core) -> None:
        """A rise that was measured stays out: 450 + 600 (12.5 - 11.62 - 0.5) = 678 um by hand."""
        lengths = planned(core, eye(sulcus=False), WHITE)["lengths"]
        assert lengths[1]["mean_um"] == 678

    def test_the_newest_of_any_device(self, core: Core) -> None:
        """A model for any device that is newer goes before one for this device."""
        newer = {**BODY, "title": "Any", "device": None}
        assert planned(core, eye(), newer, BODY)["model"]["name"] == "Any"
        assert planned(core, eye(), BODY, newer)["model"]["name"] == BODY["title"]

    def test_in_force_is_the_newest_of_each(self, core: Core) -> None:
        """By the server's number; one for each diameter, device and need of a lens rise."""
        entries = [
            {**records.record("vault_model.adopted", body, person=None, seq=n), "received": n}
            for n, body in enumerate([BODY, {**BODY, "device": "ULTRASOUND 1"}, WHITE], start=1)
        ]
        asked = {"do": "reference", "entries": entries}
        found = json.loads(core("door", "call", json.dumps(asked))["value"])["vault_models"]
        assert [one["id"] for one in found] == [entries[2]["id"], entries[1]["id"]]

    @pytest.mark.parametrize(
        ("changed", "field"),
        [
            ({"V_e9": [1, 2, 0, 1, 0, 1]}, "V_e9"),
            ({"V_e9": [1]}, "V_e9"),
            ({"features": ["excess_mm", "one", "lens_rise_mm"]}, "features"),
            ({"centre_lens_rise_um": None}, "centre_lens_rise_um"),
        ],
    )
    def test_one_that_no_plan_can_use(
        self, core: Core, changed: dict[str, Any], field: str
    ) -> None:
        """Refused by field, before it is adopted."""
        asked = {"do": "vault_model", "body": {**BODY, **changed}}
        answer = json.loads(core("door", "call", json.dumps(asked))["value"])
        assert answer["error"]["field"] == field
        good = json.dumps({"do": "vault_model", "body": BODY})
        assert json.loads(core("door", "call", good)["value"]) == {"usable": 1}


class TestApprovals:
    """An approval binds the model that was in force for its eye."""

    def codes(self, entries: list[records.Entry], *bodies: dict[str, Any]) -> list[str]:
        """Return why the approval of these entries does not stand under these models."""
        found = eye_of(entries, reference=reference(*bodies))
        return [one["code"] for one in found["approvals"][0]["stale"]]

    def approved(self, *bodies: dict[str, Any]) -> list[records.Entry]:
        """Return an eye approved under these models."""
        entries = eye()
        made = sent(entries)
        shown = decided.shown_for(entries, reference=reference(*bodies))
        signed: Any = approval([*entries, made], made)
        body = {**signed["payload"]["body"], "shown": shown}
        body["acknowledged"] = [
            {"code": one["code"], "at": records.WALL}
            for one in shown["findings"] if one["level"] == "caution"
        ]  # fmt: skip
        return [*entries, made, records.record("plan.approval", body, "R", **decided.SURGEON)]

    def test_stands_while_the_model_is_the_same(self) -> None:
        """And a model for another device changes nothing about it."""
        entries = self.approved(BODY)
        assert self.codes(entries, BODY) == []
        assert self.codes(entries, BODY, {**BODY, "device": "ultrasound 2"}) == []

    def test_falls_when_a_newer_one_speaks_for_its_eye(self) -> None:
        """From the default prior to a model, and back."""
        assert "vault_model" in self.codes(self.approved(), BODY)
        assert "vault_model" in self.codes(self.approved(BODY))

    def test_one_from_before_there_were_models(self) -> None:
        """A record without the field means the default prior."""
        *entries, old = self.approved()
        payload: Any = old["payload"]
        del payload["body"]["shown"]["vault_model"]
        assert self.codes([*entries, old]) == []
        assert "vault_model" in self.codes([*entries, old], BODY)


WHY = "The scanner was calibrated anew."


def withdrawing(adoption: records.Entry, **given: object) -> records.Entry:
    """Return a surgeon's withdrawal of an adoption."""
    said = {"author": "u-hale", "role": "surgeon", "reason": WHY, "person": None, **given}
    return records.record("vault_model.withdrawn", {"adoption": adoption["id"]}, **said)


def adopting(body: dict[str, Any], number: int) -> records.Entry:
    """Return an adoption with the server's number."""
    made = records.record("vault_model.adopted", body, person=None, seq=number, author="u-verrill")
    return {**made, "received": number}


def in_force(core: Core, *entries: records.Entry) -> dict[str, Any]:
    """Return the reference that these records put in force, on the worked lengths."""
    asked = {"do": "reference", "entries": list(entries)}
    found = json.loads(core("door", "call", json.dumps(asked))["value"])
    lenses, limits = reference()["catalogue"], records.REFERENCE["limits"]
    return {**found, "catalogue": lenses, "limits": limits}


class TestWithdrawn:
    """A model that its surgeons no longer stand by."""

    def plan(self, core: Core, found: dict[str, Any], **eyes: bool) -> Any:  # noqa: ANN401
        """Return the plan under a reference."""
        asked = records.plan_request(eye(**eyes), reference=found)
        return json.loads(core("door", "call", json.dumps(asked))["value"])

    def test_the_default_prior_speaks_again_and_says_why(self, core: Core) -> None:
        """The plan is the one without any model, but for the sentence."""
        adopted = adopting(BODY, 1)
        plan = self.plan(core, in_force(core, adopted, withdrawing(adopted)))
        assert plan["model"]["withdrawn"] == "Harbour scanner 2 was withdrawn: " + WHY
        assert plan["model"]["name"] == "default prior"
        plan["model"]["withdrawn"] = None
        assert plan == planned(core, eye())

    def test_the_one_before_it_does_not_come_back(self, core: Core) -> None:
        """It was replaced for a reason; the same numbers adopted anew do speak."""
        old, new = adopting({**BODY, "title": "Old"}, 1), adopting(BODY, 2)
        out = withdrawing(new)
        assert in_force(core, old, new, out)["vault_models"] == []
        again = in_force(core, old, new, out, adopting({**BODY, "title": "Old"}, 3))
        assert [one["body"]["title"] for one in again["vault_models"]] == ["Old"]
        assert self.plan(core, again)["model"]["withdrawn"] is None

    def test_an_older_one_withdrawn_leaves_the_newer(self, core: Core) -> None:
        """Only the named adoption is meant; the order of arrival does not matter."""
        old, new = adopting({**BODY, "title": "Old"}, 1), adopting(BODY, 2)
        for entries in ([old, new, withdrawing(old)], [withdrawing(old), new, old]):
            assert [one["id"] for one in in_force(core, *entries)["vault_models"]] == [new["id"]]

    def test_only_a_surgeon_and_only_what_was_adopted(self, core: Core) -> None:
        """A withdrawal by another role, or of something else, takes nothing out."""
        adopted = adopting(BODY, 1)
        by_desk = withdrawing(adopted, role="desk")
        of_nothing = withdrawing(adopting(WHITE, 2))
        found = in_force(core, adopted, by_desk, of_nothing)
        assert [one["id"] for one in found["vault_models"]] == [adopted["id"]]
        assert found["withdrawn_vault_models"] == []

    def test_nothing_is_said_to_an_eye_that_it_did_not_speak_for(self, core: Core) -> None:
        """Another diameter, or without the lens rise that it needs."""
        adopted = adopting(BODY, 1)
        found = in_force(core, adopted, withdrawing(adopted))
        assert self.plan(core, found, sulcus=False)["model"]["withdrawn"] is None
        assert self.plan(core, found, rise=False)["model"]["withdrawn"] is None

    def test_an_approval_that_relied_on_it_falls_by_name(self, core: Core) -> None:
        """The reason names the model and the surgeon's words, and carries the withdrawal."""
        adopted = adopting(BODY, 1)
        out = withdrawing(adopted)
        entries = TestApprovals().approved(BODY)
        signed: Any = entries[-1]["payload"]
        signed["body"]["shown"]["vault_model"] = adopted["id"]
        found = in_force(core, adopted, out)
        asked = records.fold_request(entries, reference=found)
        eyes = json.loads(core("door", "call", json.dumps(asked))["value"])["eyes"]
        assert {
            "code": "vault_model_withdrawn", "record": out["id"],
            "text": "The vault model Harbour scanner 2 was withdrawn: " + WHY,
        } in eyes["R"]["approvals"][0]["stale"]  # fmt: skip
        assert "vault_model" not in [one["code"] for one in eyes["R"]["approvals"][0]["stale"]]

    def test_an_ordered_lens_waits_for_an_answer(self, core: Core) -> None:
        """A newer model leaves an order alone; a withdrawn one does not."""
        adopted = adopting(BODY, 1)
        entries = TestApprovals().approved(BODY)
        signed: Any = entries[-1]["payload"]
        signed["body"]["shown"]["vault_model"] = adopted["id"]
        entries.append(decided.ordered(entries[-1]))
        blocks = []
        for late in (adopting({**BODY, "title": "Newer"}, 2), withdrawing(adopted)):
            asked = records.fold_request(entries, reference=in_force(core, adopted, late))
            eyes = json.loads(core("door", "call", json.dumps(asked))["value"])["eyes"]
            blocks.append(eyes["R"]["late"]["blocks"])
        assert blocks == [0, 1]


class TestMeasureNext:
    """What one more reading would do, asked of the model in force."""

    def test_the_sulcus_scan_is_judged_by_the_model_for_any_device(self, core: Core) -> None:
        """A sharp model for the scan promises more than the default prior does."""
        sharp = {**BODY, "device": None, "a_e3": 100000, "b_um2_e3": 100000000}
        gains = [
            {one["kind"]: one["expected_e4"] for one in plan["measure_next"]["lines"]}
            for plan in (planned(core, eye(sulcus=False)), planned(core, eye(sulcus=False), sharp))
        ]
        scan = "reading.sulcus_to_sulcus"
        assert gains[1][scan] > gains[0][scan] + 500

    def test_a_model_with_nothing_to_learn_gains_nothing_from_a_repeat(self) -> None:
        """Moving the diameter within its error, the same model promises no more than now."""
        from_body = adopted_models.model_of(adopted_models.body_of(BODY))
        known = measure_next.Known(
            [one / 1000.0 for one in LENGTHS_UM], Window(250.0, 750.0), "sulcus_to_sulcus", 12.1, 1,
            0.33,
        )  # fmt: skip
        now = measure_next.best_chance(from_body, known, 12.1, 0.33)
        assert measure_next.chance_after_repeat(known, from_body) <= now + 1e-9
