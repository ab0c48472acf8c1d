"""Further readings and general health: they let rules see more, and nothing waits for them."""

import json
from datetime import date
from typing import Any

import pytest

from tests.core import records
from tests.core.decided import (
    approval,
    ask,
    eye_of,
    ordered,
    sent,
)
from tests.core_runtime import Core, in_cpython

FURTHER = (
    "cycloplegic_refraction", "auto_refraction", "earlier_refraction", "tomography",
    "endothelial_mosaic", "lens_thickness", "iris_profile", "optic_disc",
)  # fmt: skip
EVERY = [records.reading("reading." + kind, seq=9) for kind in FURTHER]


def planned(entries: list[records.Entry]) -> dict[str, Any]:
    """Return the plan of the right eye in this Python."""
    plan: dict[str, Any] = ask(records.plan_request(entries))
    return plan


class TestNothingWaits:
    """A plan needs none of them."""

    def test_not_missing_and_not_asked_for(self) -> None:
        """A plain eye is whole without them, and its to-do list does not name them."""
        right = eye_of(records.whole_eye())
        assert right["state"] == "ready"
        kinds = {"reading." + kind for kind in FURTHER}
        assert not kinds & {one["kind"] for one in right["missing"] + right["wanted"]}

    def test_the_lens_stays_the_same(self) -> None:
        """None of them changes a value that the lens is calculated from."""
        without, with_all = planned(records.whole_eye()), planned(records.whole_eye() + EVERY)
        for name in ("inputs", "lengths", "recommended"):
            assert with_all[name] == without[name]

    def test_they_are_evidence(self) -> None:
        """What a rule saw is bound by the approval; a later one makes it stale."""
        eye = records.whole_eye()
        request = sent(eye)
        signed = approval(eye, request)
        assert eye_of([*eye, request, signed])["state"] == "approved"
        late = records.reading("reading.tomography", seq=30)
        assert eye_of([*eye, request, signed, late])["state"] == "stale"
        changed = eye_of([*eye, request, signed, records.health()])
        assert changed["state"] == "stale"
        texts = [one["text"] for one in changed["approvals"][0]["stale"]]
        assert "The answers about general health changed after this approval." in texts


class TestInWords:
    """How the case file shows them."""

    @pytest.mark.parametrize(
        ("kind", "text"),
        [
            ("earlier_refraction",
             "\u22129.00 \u22122.50 \u00d715 D, vertex 12.0 mm, from a prescription of 1 Mar 2025"),
            ("tomography", "Kmax 46.00 D, I\u2212S \u22120.30 D, grade 0"),
            ("endothelial_mosaic", "variation 32 %, hexagonal 60 %"),
            ("lens_thickness", "3.70 mm"),
            ("iris_profile", "flat"),
            ("optic_disc", "normal"),
        ],
    )  # fmt: skip
    def test_value(self, kind: str, text: str) -> None:
        """Each with unit, source and date where it has them."""
        groups = eye_of(records.whole_eye() + EVERY)["readings"]
        used = {one["kind"]: one["used"]["text"] for one in groups}
        assert used["reading." + kind] == text

    def test_an_old_map_says_how_old(self) -> None:
        """The day on it stands with its value, and its age in the caution; it is not refused."""
        old = records.reading("reading.tomography", made_on="2024-03-01", seq=9)
        right = eye_of([*records.whole_eye(), old])
        used = {one["kind"]: one["used"]["text"] for one in right["readings"]}
        assert (
            used["reading.tomography"]
            == "Kmax 46.00 D, I\u2212S \u22120.30 D, grade 0, map of 1 Mar 2024"
        )
        (found,) = [one for one in right["findings"] if one["code"] == "D35.map"]
        days = (date(2026, 11, 25) - date(2024, 3, 1)).days
        assert found["text"].startswith(f"The oldest was made {days} days ago")
        assert found["records"] == [old["id"]]

    def test_health_is_in_the_file(self) -> None:
        """The fold gives the live answers about health, or null."""
        entries = records.whole_eye()
        assert ask(records.fold_request(entries))["health"] is None
        told = ask(records.fold_request([*entries, records.health(diabetes="yes")]))["health"]
        assert told["diabetes"] == "yes"

    def test_two_records_of_health_stop(self) -> None:
        """Two live answers side by side are settled first, as with the other questions."""
        twice = [records.health(), records.health(diabetes="yes")]
        found = planned(records.whole_eye() + twice)["findings"]
        assert "records.two_answers" in [one["code"] for one in found]

    def test_both_pythons(self, browser_core: Core) -> None:
        """The same file with all of them, word for word."""
        old = records.reading("reading.tomography", made_on="2024-03-01", seq=10)
        entries = [*records.whole_eye(), *EVERY, old, records.health()]
        asked = json.dumps(records.fold_request(entries))
        answers = [core("door", "call", asked)["value"] for core in (in_cpython, browser_core)]
        assert json.loads(answers[0]) == json.loads(answers[1])


class TestWrongOrder:
    """D24: an order that its approval does not cover."""

    def test_another_lens(self) -> None:
        """An order for another lens than the approved one stops."""
        eye = records.whole_eye()
        request = sent(eye)
        signed = approval(eye, request)
        order = ordered(signed)
        assert not self.codes([*eye, request, signed, order])
        body = order["payload"]["body"]  # type: ignore[index]
        body["lens"] = {**body["lens"], "sphere_cD": -1000}
        assert self.codes([*eye, request, signed, order]) == ["D24.order_lens"]

    def test_another_eye(self) -> None:
        """An order of the right eye on an approval of the left eye stops."""
        eye = records.whole_eye()
        request = sent(eye)
        signed = approval(eye, request)
        order = ordered(signed)
        signed["payload"]["eye"] = request["payload"]["eye"] = "L"  # type: ignore[index]
        assert self.codes([*eye, request, signed, order]) == ["D24.order_eye"]

    def codes(self, entries: list[records.Entry]) -> list[str]:
        """Return the codes of rule D24 at the right eye."""
        found = eye_of(entries)["findings"]
        return [one["code"] for one in found if one["rule"] == "D24"]
