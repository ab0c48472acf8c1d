"""Each rule at its limits, in both Pythons, from a table that names its sources."""

import json
from pathlib import Path
from typing import Any

import pytest

from tests.core import records
from tests.core_runtime import Core

CASES = json.loads((Path(__file__).parents[1] / "vectors" / "rules.json").read_text("utf-8"))
LEVELS = ("note", "caution", "stop")


def entries_of(case: dict[str, Any]) -> list[records.Entry]:
    """Return the records of a case: person, answers, one eye, repeats, and perhaps the fellow.

    ``health`` and ``fellow_again`` stand only in the cases that need them.
    """
    entries = records.whole_eye("R", **case["change"])
    entries[0], entries[1] = records.person(**case["person"]), records.answers(**case["answers"])
    for seq, (kind, changed, taken) in enumerate(case["again"], start=2):
        when = taken or records.WALL
        entries.append(records.reading("reading." + kind, "R", when, seq=seq, **changed))
    if case["fellow"] is not None:
        entries += records.whole_eye("L", **case["fellow"])[2:]
        for seq, (kind, changed, taken) in enumerate(case.get("fellow_again", []), start=20):
            when = taken or records.WALL
            entries.append(records.reading("reading." + kind, "L", when, seq=seq, **changed))
    if "health" in case:
        entries.append(records.health(**case["health"]))
    return entries


def findings(core: Core, entries: list[records.Entry]) -> list[dict[str, Any]]:
    """Return the findings of a plan of the right eye."""
    answer = core("door", "call", json.dumps(records.plan_request(entries)))
    found: list[dict[str, Any]] = json.loads(answer["value"])["findings"]
    return found


def worst(found: list[dict[str, Any]], rule: str) -> str | None:
    """Return the worst level that a rule gave, None where it is silent."""
    levels = [LEVELS.index(one["level"]) for one in found if one["rule"] == rule]
    return LEVELS[max(levels)] if levels else None


class TestLimits:
    """Just inside and just outside each limit."""

    @pytest.mark.parametrize("case", CASES, ids=[case["id"] for case in CASES])
    def test_level(self, core: Core, case: dict[str, Any]) -> None:
        """The rules named in the table are silent or speak at the level it states."""
        found = findings(core, entries_of(case))
        said = {rule: worst(found, rule) for rule in case["expect"]}
        assert said == case["expect"], found


class TestWords:
    """What a finding says."""

    def test_three_parts_with_units(self, core: Core) -> None:
        """A finding says what, why it matters here and what to do, and names its records."""
        entries = records.whole_eye(chamber_depth={"depth_um": 2710})
        one = findings(core, entries)[0]
        assert one["code"] == "D03.shallow"
        assert one["title"] == "Chamber too shallow"
        assert one["text"].startswith("2.71 mm from the endothelium: below 2.80 mm")
        assert one["do"]
        depth = [e["id"] for e in entries if e["payload"]["kind"] == "reading.chamber_depth"]
        assert one["records"] == depth

    def test_fixed_stops_cannot_be_overridden(self, core: Core) -> None:
        """Contradictory data are fixed; a clinical limit is the surgeon's."""
        wrong_unit = findings(core, records.whole_eye(keratometry={"flat_cD": 780}))
        too_old = findings(core, records.whole_eye(pressure={"iop_dmmHg": 300}))
        assert [one["fixed"] for one in wrong_unit if one["rule"] == "D11"] == [1]
        assert [one["fixed"] for one in too_old if one["code"] == "D08.high"] == [0]

    def test_first_findings_while_measuring(self, core: Core) -> None:
        """One reading alone already gives its findings; the plan waits for the rest."""
        alone = [records.person(), records.reading("reading.chamber_depth", depth_um=2710)]
        answer = json.loads(core("door", "call", json.dumps(records.plan_request(alone)))["value"])
        assert answer["possible"] == 0
        assert [one["code"] for one in answer["findings"]] == ["D03.shallow"]
        assert "White-to-white" in [one["text"] for one in answer["missing"]]


class TestLimitsInForce:
    """Limits that a surgeon adopted."""

    def test_adopted_limit_replaces_the_default(self, core: Core) -> None:
        """A stricter adopted depth stops an eye that the default lets pass."""
        asked = records.plan_request(records.whole_eye())
        assert not [one for one in ask(core, asked) if one["rule"] == "D03"]
        values = {"depth_stop_below_um": 3100, "depth_caution_below_um": 3200}
        limits = {"id": "e" * 64, "body": {"title": "Stricter", "values": values}}
        asked["reference"] = {**records.REFERENCE, "limits": limits}
        assert [one["level"] for one in ask(core, asked) if one["rule"] == "D03"] == ["stop"]

    @pytest.mark.parametrize(
        "values",
        [
            {"depth_stop_um": 3100},
            {"depth_stop_below_um": "3100"},
            {"fellow_correlation_e2": 100},
            {"fellow_correlation_e2": -1},
        ],
    )
    def test_limits_not_understood_stop(self, core: Core, values: dict[str, object]) -> None:
        """An unknown name, a text for a number or an impossible correlation is not passed over."""
        asked = records.plan_request(records.whole_eye())
        limits = {"id": "e" * 64, "body": {"title": "Odd", "values": values}}
        asked["reference"] = {**records.REFERENCE, "limits": limits}
        assert "limits.unknown" in [one["code"] for one in ask(core, asked)]

    def test_limits_nobody_adopted_stop(self, core: Core) -> None:
        """Defaults are proposals: without an adoption no plan can be approved."""
        asked = records.plan_request(records.whole_eye())
        asked["reference"] = {**records.REFERENCE, "limits": None}
        assert "limits.not_adopted" in [one["code"] for one in ask(core, asked)]


def ask(core: Core, asked: dict[str, object]) -> list[dict[str, Any]]:
    """Return the findings of a plan request."""
    found: list[dict[str, Any]] = json.loads(core("door", "call", json.dumps(asked))["value"])[
        "findings"
    ]
    return found
