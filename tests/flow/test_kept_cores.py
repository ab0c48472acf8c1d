"""Older cores: kept by hash, computing what they planned; one that was never here is said."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.flow.test_recheck import camp, check, sent
from tests.hospital import Hospital, Phone, plan_of
from webapp import core_bundle
from webapp.demo_people import PASSPHRASE
from webapp.flow import calculation, casefile, kept_cores, open_plans, order, recheck
from webapp.flow.calculation import CoreFailed
from webapp.flow.refusal import Refused
from webapp.records.envelope import digest_of

__all__ = ["camp"]

CONSTANT = (
    "webapp/core/vault_priors.py",
    "WHITE_TO_WHITE_SIGMA_UM = 233.0",
    "WHITE_TO_WHITE_SIGMA_UM = 333.0",
)
"""A larger residual of the vault on purpose: chances come out otherwise."""


def older_core(folder: Path, change: tuple[str, str, str] = CONSTANT) -> str:
    """Plant a copy of the core with one changed constant among the kept ones; return its name."""
    name, before, after = change
    files = dict(core_bundle.core_files())
    assert before in files[name]
    files[name] = files[name].replace(before, after)
    core = core_bundle.name_of(files)
    (folder / "cores" / f"{core}.json").write_text(json.dumps({"sha256": core, "files": files}))
    return core


def planned_by(core: str, person: str) -> dict[str, Any]:
    """Return what a phone with an older core shows for a right eye: that core's own answer."""
    request: dict[str, Any] = {}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("webapp.flow.calculation.ask", lambda asked: request.update(asked) or asked)
        plan_of(person, "R", core=core)
    shown: dict[str, Any] = kept_cores.ask(core, request)["shown"]
    return shown


def sent_by(camp: Phone, core: str, change: Callable[[dict[str, Any]], object] = bool) -> str:
    """Send a right eye as a phone with an older core would; return the request."""
    person = camp.register()
    camp.measure(person, "R")
    shown = planned_by(core, person)
    change(shown)
    return camp.keep("plan.request", person, "R", {"shown": shown, "digest": digest_of(shown)})


class TestKept:
    """A core in the data folder."""

    def test_the_one_in_use_is_kept_at_start(self, hospital: Hospital) -> None:
        """Byte for byte what a phone fetches."""
        path = hospital.settings.data_dir / "cores" / f"{core_bundle.core_sha256()}.json"
        assert path.read_bytes() == core_bundle.bundle_bytes()
        assert kept_cores.is_kept(core_bundle.core_sha256())

    def test_answers_as_the_core_in_use_does(self, hospital: Hospital) -> None:
        """In a process of its own."""
        asked = {"do": "reference", "entries": []}
        assert kept_cores.ask(core_bundle.core_sha256(), asked) == calculation.ask(asked)

    def test_its_refusal_is_told(self, hospital: Hospital) -> None:
        """Field and sentence, as from the core in use."""
        with pytest.raises(CoreFailed, match="do must be one of"):
            kept_cores.ask(core_bundle.core_sha256(), {"do": "nothing"})

    def test_a_changed_file_is_not_a_kept_core(self, hospital: Hospital) -> None:
        """One letter in one file, and its name says no more what it computes."""
        core = older_core(hospital.settings.data_dir)
        assert kept_cores.is_kept(core)
        path = hospital.settings.data_dir / "cores" / f"{core}.json"
        path.write_text(path.read_text().replace("= 333.0", "= 334.0", 1))
        assert not kept_cores.is_kept(core)
        with pytest.raises(CoreFailed, match="is not kept"):
            kept_cores.ask(core, {})

    @pytest.mark.parametrize("path", ["../escaped.py", "webapp/../../escaped.py", "/escaped.py"])
    def test_a_path_that_leads_elsewhere_is_in_no_core(self, hospital: Hospital, path: str) -> None:
        """However right its name is: to compute with it would write outside its folder."""
        files = {**core_bundle.core_files(), path: "raise SystemExit\n"}
        core = core_bundle.name_of(files)
        whole = json.dumps({"sha256": core, "files": files})
        (hospital.settings.data_dir / "cores" / f"{core}.json").write_text(whole)
        assert not kept_cores.is_kept(core)

    def test_one_that_does_not_end(
        self, hospital: Hospital, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """It is stopped, and the plan is not computed."""
        name = "webapp/core/door.py"
        first = core_bundle.core_files()[name].splitlines()[0]
        core = older_core(
            hospital.settings.data_dir, (name, first, first + "\nwhile True:\n    pass\n")
        )
        monkeypatch.setattr(kept_cores, "LONGEST_S", 1)
        with pytest.raises(CoreFailed, match="no answer within 1 seconds"):
            kept_cores.ask(core, {"do": "plan"})


class TestPlansOfOlderCores:
    """What is received after the program was updated."""

    def test_is_computed_with_its_own_core(self, hospital: Hospital, camp: Phone) -> None:
        """It agrees, though the core in use would choose otherwise."""
        core = older_core(hospital.settings.data_dir)
        request = sent_by(camp, core)
        result, text = check(hospital, request)
        assert result == "agrees" and text.startswith("An older calculation made this plan.")

    def test_a_false_figure_is_noticed(self, hospital: Hospital, camp: Phone) -> None:
        """Older is no excuse."""
        core = older_core(hospital.settings.data_dir)

        def higher(shown: dict[str, Any]) -> None:
            shown["predicted"]["mean_um"] += 2

        request = sent_by(camp, core, higher)
        assert check(hospital, request)[0] == "differs"

    def test_the_core_in_use_gives_another_plan(self, hospital: Hospital, camp: Phone) -> None:
        """Which is said of every plan that is not ordered yet, and of no other."""
        core = older_core(hospital.settings.data_dir)
        sent_by(camp, core)
        sent(camp)
        (plan,) = open_plans.of_other_cores()
        assert (plan.what, plan.core, plan.changes) == ("request", core, True)
        assert "these differ: " in plan.text

    def test_a_change_that_moves_nothing_changes_no_plan(
        self, hospital: Hospital, camp: Phone
    ) -> None:
        """Only a docstring differs."""
        name = "webapp/core/door.py"
        first = core_bundle.core_files()[name].splitlines()[0]
        core = older_core(hospital.settings.data_dir, (name, first, '"""Older."""'))
        sent_by(camp, core)
        (plan,) = open_plans.of_other_cores()
        assert not plan.changes and plan.text == recheck.SAME


class TestUnknownCore:
    """A plan of a core that was never here."""

    def test_is_said_and_stops_the_order(self, hospital: Hospital, camp: Phone) -> None:
        """Not called older, though the core in use gives the same."""
        person, request = sent(camp, lambda shown: shown.update(core="0" * 64))
        result, text = check(hospital, request)
        assert result == "unknown_core"
        assert "never at this base" in text and text.endswith("The same result.")
        surgeon = hospital.phone("verrill")
        body = surgeon.approval_body(person, "R", request)
        body["shown"]["core"] = "0" * 64
        body["digest"] = digest_of(body["shown"])
        approval = surgeon.keep("plan.approval", person, "R", body)
        fenn = hospital.actor("fenn")
        assert not casefile.person_file(fenn, person).checks[approval].is_good
        with pytest.raises(Refused, match="never at this base"):
            order.place(fenn, person, "R", approval, PASSPHRASE)
