"""A lens that is watched or taken out on less than an exchange needs; and what is still refused."""

import json
from typing import Any

import pytest

from tests.core import exchanges, records, surgeries
from tests.core.decided import ask
from tests.core.exchanges import before, implanted, question, seen
from tests.core.records import Entry
from tests.core.second_cycle import eye_of
from tests.core_runtime import Core

POSSIBLE_WITHOUT = {"observe": 1, "turn": 0, "rerotate": 0, "corneal": 0, "remove": 1}
ANGLE = {"grade": 0}


def told(core: Core, entries: list[Entry], **more: object) -> dict[str, Any]:
    """Return what the door says of the lens in the eye."""
    answer: dict[str, Any] = json.loads(
        core("door", "call", json.dumps(question(entries, **more)))["value"]
    )
    assert "error" not in answer, answer
    return answer


def possible(answer: dict[str, Any]) -> dict[str, int]:
    """Return which of the alternatives there are."""
    return {one["code"]: one["possible"] for one in answer["alternatives"]}


def levels(answer: dict[str, Any]) -> dict[str, str]:
    """Return the level of each finding by its code."""
    return {one["code"]: one["level"] for one in answer["findings"]}


def closing_angle() -> list[Entry]:
    """Return an eye whose angle was seen closed and whose vault nobody could measure."""
    surgery = implanted()
    return [*before(), surgery, surgeries.found("angle", surgery, "R", **ANGLE)]


class TestWithoutAVault:
    """An angle that closes, and no scan of it."""

    def test_an_exchange_is_not_reckoned(self, core: Core) -> None:
        """No length, no lens, nothing to sign for one."""
        answer = told(core, closing_angle())
        assert (answer["possible"], answer["decidable"], answer["shown"]) == (0, 1, None)
        assert [one["text"] for one in answer["missing"]] == ["Vault in dim light"]
        assert "rows" not in answer

    def test_it_is_watched_or_taken_out(self, core: Core) -> None:
        """A turn needs what an exchange needs; the cornea needs a refraction."""
        answer = told(core, closing_angle())
        assert possible(answer) == POSSIBLE_WITHOUT
        texts = {one["code"]: one["text"] for one in answer["alternatives"]}
        # The refraction from before surgery, as it was measured (tests/core/exchanges.py).
        assert "\u221211.00 \u22121.50 \u00d7175" in texts["remove"]
        assert texts["corneal"] == "No refraction with this lens is known."

    def test_what_is_missing_is_answered_for(self, core: Core) -> None:
        """A caution that whoever decides acknowledges."""
        answer = told(core, closing_angle())
        assert levels(answer)["E4.less"] == "caution"
        signed = {one["code"] for one in answer["shown_without"]["findings"]}
        assert "E4.less" in signed

    def test_what_is_signed_binds_every_reading(self, core: Core) -> None:
        """The angle, and nothing that was not reckoned (I22)."""
        eye = closing_angle()
        shown = told(core, eye)["shown_without"]
        assert shown["followups"] == [eye[-1]["id"]]
        assert set(shown["observed"].values()) == {None}
        assert (shown["basis"], shown["lens"], shown["predicted"]) == (None, None, None)

    def test_the_four_checks_stay(self, core: Core) -> None:
        """None of them is shown by a vault that is not there."""
        checks = {one["code"]: one for one in told(core, closing_angle())["sure"]}
        assert checks["scan"]["text"] == "No vault in dim light is on record."
        assert (checks["scan"]["state"], checks["eye"]["state"]) == ("open", "open")

    def test_the_other_eyes_vault_speaks_not_for_this_one(self, core: Core) -> None:
        """With a vault of the left eye alone the check of the eye stays open."""
        left = implanted("L", serial="TI-70013")
        eye = [*closing_angle(), left, *seen(left, "L")]
        checks = {one["code"]: one for one in told(core, eye)["sure"]}
        assert checks["eye"]["state"] == "open"

    def test_the_decision_stands_and_falls(self) -> None:
        """It stands in the fold, and a vault that comes later lets it fall (I14)."""
        eye = closing_angle()
        made = exchanges.decided(ask(question(eye)), "remove")
        found = eye_of([*eye, made])
        assert (found["state"], found["state_why"]) == (
            "exchange_considered", "Take the lens out.",
        )  # fmt: skip
        scan = surgeries.found("vault", eye[-2], "R", vault_um=40)
        fallen = eye_of([*eye, made, scan])["exchange"]["decisions"][0]
        assert [one["code"] for one in fallen["stale"]] == ["evidence.added"]


class TestTouch:
    """A lens that touches, in an eye of which nothing was measured before surgery here."""

    @pytest.fixture
    def eye(self) -> list[Entry]:
        """Return an eye that was planned elsewhere, with a vault of 0 and a refraction."""
        surgery = implanted()
        return [records.person(), records.answers(), surgery, *seen(surgery, vault_um=0)]

    def test_the_vault_speaks(self, core: Core, eye: list[Entry]) -> None:
        """Watching it is told to risk the natural lens."""
        answer = told(core, eye)
        assert (answer["possible"], answer["decidable"]) == (0, 1)
        assert answer["observed"]["vault_um"] == 0
        (watch,) = [one for one in answer["alternatives"] if one["code"] == "observe"]
        assert any("touch the natural lens" in text for text in watch["against"])

    def test_what_comes_back_is_not_guessed(self, core: Core, eye: list[Entry]) -> None:
        """Without a refraction from before surgery none is said."""
        (out,) = [one for one in told(core, eye)["alternatives"] if one["code"] == "remove"]
        assert out["possible"] == 1
        assert out["text"].startswith("What the eye reads without a lens is not known")

    def test_the_cornea_by_the_refraction_found(self, core: Core, eye: list[Entry]) -> None:
        """+0.50 -0.25 x 90 at 12 mm is little changed at the cornea: 0.5 / (1 - 0.006) = 0.503."""
        (laser,) = [one for one in told(core, eye)["alternatives"] if one["code"] == "corneal"]
        assert laser["possible"] == 1
        assert "+0.50 \u22120.25 \u00d790 D at the cornea" in laser["text"]

    def test_missing_is_said_by_name(self, core: Core, eye: list[Entry]) -> None:
        """Each reading from before surgery."""
        kinds = [one["kind"] for one in told(core, eye)["missing"]]
        assert "reading.refraction" in kinds
        assert "reading.keratometry" in kinds
        assert "followup.vault" not in kinds

    def test_both_pythons_agree(self, core: Core, eye: list[Entry]) -> None:
        """On the whole answer (I23)."""
        assert told(core, eye) == ask(question(eye))
        assert told(core, closing_angle()) == ask(question(closing_angle()))


class TestNothingIsDecided:
    """Where even watching has nothing to stand on."""

    def test_nothing_was_seen(self, core: Core) -> None:
        """Somebody looks at the eye first."""
        answer = told(core, [*before(), implanted()])
        assert (answer["decidable"], answer["shown_without"]) == (0, None)
        assert [one["kind"] for one in answer["lacks"]] == ["followup.vault"]

    def test_no_catalogue(self, core: Core) -> None:
        """A decision names the one in force."""
        bare = exchanges.reference(catalogue=None)
        answer = told(core, closing_angle(), reference=bare)
        assert "catalogue.adopted" in [one["kind"] for one in answer["lacks"]]

    def test_two_lenses(self, core: Core) -> None:
        """Nobody knows which one is spoken about."""
        eye = [*closing_angle(), implanted(serial="TI-70014", seq=77)]
        answer = told(core, eye)
        assert (answer["implant"], answer["decidable"]) == (None, 0)

    def test_under_a_fixed_stop(self, core: Core) -> None:
        """A recalled calculation signs nothing."""
        one = {"id": "d" * 64, "core": records.CORE, "why": "Turned the axis."}
        recalled = exchanges.reference(recalled_cores=[one])
        answer = told(core, closing_angle(), reference=recalled)
        assert answer["shown_without"] is None


def test_a_whole_eye_is_decided_as_before(core: Core) -> None:
    """Where an exchange can be reckoned nothing is missing and no such caution stands."""
    answer = told(core, exchanges.operated())
    assert (answer["possible"], answer["decidable"], answer["lacks"]) == (1, 1, [])
    assert "E4.less" not in levels(answer)
