"""What can be done about a lens in the eye, through the door.

The worked eye and its figures: ``tests/core/exchanges.py`` says where they come from.
"""

import json
from typing import Any

import pytest

from tests.core import exchanges, records, surgeries
from tests.core.exchanges import before, implanted, operated, question, seen
from tests.core.records import Entry
from tests.core_runtime import Core


def asked(core: Core, entries: list[Entry], **more: object) -> Any:  # noqa: ANN401
    """Return the parsed answer of the door."""
    answer = json.loads(core("door", "call", json.dumps(question(entries, **more)))["value"])
    assert "error" not in answer, answer
    return answer


def row(answer: dict[str, Any], length_um: int) -> Any:  # noqa: ANN401
    """Return one length of an answer."""
    return next(one for one in answer["rows"] if one["length_um"] == length_um)


def other_way(answer: dict[str, Any], code: str) -> Any:  # noqa: ANN401
    """Return one alternative of an answer."""
    return next(one for one in answer["alternatives"] if one["code"] == code)


def codes(answer: dict[str, Any]) -> set[str]:
    """Return the codes of the findings."""
    return {one["code"] for one in answer["findings"]}


class TestWorkedEye:
    """Every figure of the worked eye comes out through the door, in both Pythons."""

    @pytest.mark.parametrize(
        ("length_um", "mean_um", "sd_um", "low", "inside", "above", "very", "loss_um"),
        [
            (13100, 1189, 93, 0, 0, 100, 98, 439),
            (12600, 914, 122, 0, 9, 91, 24, 169),
            (12350, 777, 152, 0, 43, 57, 7, 75),
            (12100, 639, 185, 2, 71, 27, 3, 34),
            (11850, 502, 220, 13, 74, 13, 1, 42),
        ],
    )
    def test_lengths(
        self, core: Core, length_um: int, mean_um: int, sd_um: int, low: int, inside: int,
        above: int, very: int, loss_um: int,
    ) -> None:  # fmt: skip
        """Vault, spread, chances to the hundredth and expected loss (scipy; loss 2 to 1).

        The loss of the length in the eye is its mean less 750: nothing of it lies lower.
        """
        found = row(asked(core, operated()), length_um)
        assert (found["mean_um"], found["sd_um"], found["loss_um"]) == (mean_um, sd_um, loss_um)
        hundredths = [
            round(found[name] / 100)
            for name in ("p_low_e4", "p_in_e4", "p_high_e4", "p_very_high_e4")
        ]
        assert hundredths == [low, inside, above, very]

    def test_the_miss(self, core: Core) -> None:
        """1300 beside 560 +- 176 is 4.2 SD; 740 of miss, of which 629 stays."""
        answer = asked(core, operated())
        assert (answer["predicted"]["mean_um"], answer["predicted"]["sd_um"]) == (560, 176)
        told = answer["surprise"]
        assert (told["z_e1"], told["residual_um"], told["kept_um"], told["over"]) == (
            42, 740, 629, 1,
        )  # fmt: skip
        assert "E4.surprise" in codes(answer)

    def test_what_an_sd_is(self, core: Core) -> None:
        """Said once, where the figure first stands."""
        answer = asked(core, operated())
        assert "standard deviation" in answer["predicted"]["text"]
        assert json.dumps(answer).count("standard deviation") == 1

    def test_the_eye_without_its_lens(self, core: Core) -> None:
        """-11.06 -1.35 x 173.5, 0.09 D (blur) from before surgery: accepted."""
        naked = asked(core, operated())["naked"]
        assert (naked["sphere_cD"], naked["cylinder_cD"]) == (-1106, -135)
        assert naked["axis_deg"] in (173, 174)
        assert (naked["apart_cD"], naked["suspicious"]) == (9, 0)

    def test_one_step_is_not_enough(self, core: Core) -> None:
        """No length leads by 5 in 100; by harm 1.00 mm shorter is best, 1.25 by chance."""
        answer = asked(core, operated())
        assert (answer["best_by_probability_um"], answer["best_by_loss_um"]) == (11850, 12100)
        assert answer["separable"] == 0
        assert answer["recommended"]["length_um"] == 12100

    def test_power_stays(self, core: Core) -> None:
        """By the eye without its lens -11.67 -1.27 x 173.8; the same power is then nearest."""
        answer = asked(core, operated())
        exact = answer["power"]["exact_from_naked"]
        assert (exact["sphere_cD"], exact["cylinder_cD"], exact["axis_deg"]) == (-1167, -127, 174)
        assert answer["power"]["kept"] == 1
        lens = {name: exchanges.LENS[name] for name in ("sphere_cD", "cylinder_cD", "axis_deg")}
        assert {name: answer["recommended"][name] for name in lens} == lens

    def test_what_the_same_power_would_leave(self, core: Core) -> None:
        """Half-way between +0.05 -0.20 x 91 by the naked eye and what it leaves from before."""
        answer = asked(core, operated())
        kept = next(one for one in row(answer, 12100)["lenses"] if one["kept"])["predicted"]
        # By the naked eye +0.054 -0.197 x 91, from before surgery -0.018 -0.079 x 82 (numpy).
        mean_d = (0.054 - 0.197 / 2 - 0.018 - 0.079 / 2) / 2
        assert kept["mean_cD"] == pytest.approx(100 * mean_d, abs=1.0)
        assert answer["basis"] == "mean"

    def test_doubt(self, core: Core) -> None:
        """A vault SD of 185 um is 0.12 D, a refraction SD of 0.25 D is 0.18 D."""
        doubt = asked(core, operated())["doubt"]
        assert (doubt["vault_cD"], doubt["refraction_cD"]) == (12, 18)

    def test_figure(self, core: Core) -> None:
        """0 to 1500 um, the same scale for every length: wide means low."""
        answer = asked(core, operated())
        assert answer["figure"] == {"from_um": 0, "to_um": 1500, "step_um": 20}
        peaks = [max(one["curve"]) for one in answer["rows"]]
        assert {len(one["curve"]) for one in answer["rows"]} == {76}
        assert peaks == sorted(peaks)
        assert 980 <= peaks[-1] <= 1000

    def test_signs_what_it_shows(self, core: Core) -> None:
        """Exactly the readings of this lens, those before it, and the recommended lens."""
        entries = operated()
        shown = asked(core, entries)["shown"]
        assert shown["followups"] == sorted(one["id"] for one in entries[-3:])
        assert shown["surgeries"] == [entries[-4]["id"]]
        assert set(shown["evidence"]) == {one["id"] for one in entries[:-4]}
        assert shown["lens"]["length_um"] == 12100
        assert shown["predicted"]["mean_um"] == 639


class TestBeSureFirst:
    """What the records say of scan, label, orientation and eye."""

    def test_nothing_on_record(self, core: Core) -> None:
        """One scan, no order, no marks, no fellow: all four are open."""
        checks = asked(core, operated())["sure"]
        assert [one["code"] for one in checks] == ["scan", "label", "orientation", "eye"]
        assert {one["state"] for one in checks} == {"open"}

    def test_measured_again_and_seen_on_its_axis(self, core: Core) -> None:
        """A second scan and an axis near its mark speak for scan and orientation."""
        entries = operated()
        surgery = entries[-4]
        again = surgeries.found("vault", surgery, "R", vault_um=1310, seq=3)
        axis = surgeries.found("axis_seen", surgery, "R", seen_axis_deg=172)
        answer = asked(core, [*entries, again, axis])
        states = {one["code"]: one["state"] for one in answer["sure"]}
        assert (states["scan"], states["orientation"]) == ("shown", "shown")
        assert answer["implant"]["lies_at_deg"] == 172

    def test_the_other_eyes_very_vault(self, core: Core) -> None:
        """The same number in both eyes is said."""
        fellow = surgeries.implanted("L", serial="TI-9")
        both = [*operated(), fellow, surgeries.found("vault", fellow, "L", vault_um=1300)]
        eye = asked(core, both)["sure"][3]
        assert eye["state"] == "open"
        assert "very same vault" in eye["text"]


class TestRefractionThatDoesNotFit:
    """More than 0.75 D between the eye without its lens and before: something is wrong."""

    def test_stops_and_reckons_from_before(self, core: Core) -> None:
        """+2.00 found through this lens: label, axis or refraction."""
        surgery = implanted()
        answer = asked(core, [*before(), surgery, *seen(surgery, sphere_cD=200)])
        assert answer["naked"]["suspicious"] == 1
        assert "E4.naked" in codes(answer)
        assert answer["basis"] == "before"

    def test_without_a_refraction(self, core: Core) -> None:
        """It is said that nothing tells whether the lens is the one on its label."""
        surgery = implanted()
        answer = asked(core, [*before(), surgery, seen(surgery)[0]])
        assert answer["naked"] is None
        assert {"E4.no_refraction", "E4.cells"} <= codes(answer)
        assert answer["basis"] == "before"


class TestAlternatives:
    """Watch, turn, turn back, cornea, take out; each where it can be one."""

    def test_all_five_in_order(self, core: Core) -> None:
        """Always the same five."""
        told = [one["code"] for one in asked(core, operated())["alternatives"]]
        assert told == ["observe", "turn", "rerotate", "corneal", "remove"]

    def test_a_toric_lens_is_not_turned_to_the_vertical(self, core: Core) -> None:
        """Turned by 90 degrees 1.50 D of cylinder come back doubled."""
        turn = other_way(asked(core, operated()), "turn")
        assert turn["possible"] == 0
        assert "axis" in turn["text"]

    def test_a_spherical_one_may_be(self, core: Core) -> None:
        """About 110 um less in the mean."""
        lens = {
            **exchanges.LENS, "model": "Model A-s", "cylinder_cD": 0, "axis_deg": None,
            "sphere_cD": -1200,
        }  # fmt: skip
        plain = {"sphere_cD": -1150, "cylinder_cD": 0, "axis_deg": None}
        surgery = implanted(lens=lens)
        entries = [*before(refraction=plain), surgery, *seen(surgery, sphere_cD=25, cylinder_cD=0,
                                                             axis_deg=None)]  # fmt: skip
        answer = asked(core, entries)
        turn = other_way(answer, "turn")
        assert turn["possible"] == 1
        assert "1190" in turn["text"]
        assert other_way(answer, "rerotate")["possible"] == 0

    def test_a_low_one_is_not_turned_to_lower_it(self, core: Core) -> None:
        """Less vault is not wanted where there is too little."""
        surgery = implanted()
        answer = asked(core, [*before(), surgery, *seen(surgery, vault_um=180)])
        assert other_way(answer, "turn")["possible"] == 0


# A lens -10.00 -2.00 lying at 178 that leaves +0.50 -1.00 x 42 is turned by +15.56 degrees, to
# 13.6; +0.16 -0.31 is left. Spectacle-plane numerical optimum 15.5634 (scipy), closed 15.5635.
TURNED = {
    "model": "Model A-t", "sphere_cD": -1000, "cylinder_cD": -200, "axis_deg": 14,
    "length_um": 12600,
}  # fmt: skip


def turned_eye(
    vault_um: int = 500, lens: dict[str, Any] = TURNED, cylinder: int = -250, **left: object
) -> list[Entry]:
    """Return the worked eye of a turn: cornea 42.50 / 44.50 at 100, lens at 3.07 mm."""
    instead: dict[str, dict[str, object] | None] = {
        "refraction": {"sphere_cD": -900, "cylinder_cD": cylinder, "axis_deg": 14},
        "keratometry": {"flat_cD": 4250, "steep_cD": 4450, "steep_meridian_deg": 100},
        "chamber_depth": {"depth_um": 3050},
        "corneal_thickness": {"thickness_um": 520},
    }
    surgery = implanted(lens=lens)
    given = {name.replace("left_", ""): left[name] for name in left}
    leaves = {"sphere_cD": 50, "cylinder_cD": -100, "axis_deg": 42, **given}
    found = seen(surgery, vault_um=vault_um, **leaves)
    axis = surgeries.found("axis_seen", surgery, "R", seen_axis_deg=178)
    return [*before(**instead), surgery, *found, axis]


class TestTurnToTheAxis:
    """E3: from 10 degrees on, with 0.75 D of cylinder left or 0.50 D to gain."""

    def test_worked_turn(self, core: Core) -> None:
        """15.6 degrees counter-clockwise, to 14; +0.16 -0.31 left."""
        turn = other_way(asked(core, turned_eye()), "rerotate")
        assert turn["possible"] == 1
        told = turn["turn"]
        assert (told["turn_deg_e1"], told["to_axis_deg"]) == (156, 14)
        assert (told["predicted"]["sphere_cD"], told["predicted"]["cylinder_cD"]) == (16, -31)
        # Blur of +0.50 -1.00 is 0.50 (mean 0), that of +0.16 -0.31 is 0.155.
        assert told["gain_cD"] == pytest.approx(34, abs=1)

    def test_marks_that_disagree_with_the_refraction(self, core: Core) -> None:
        """Seen where it should lie, though the refraction asks for a turn: another fault."""
        entries = turned_eye()
        seen_right = surgeries.found(
            "axis_seen", entries[-5], "R", seen_axis_deg=30, taken="2026-11-25T08:00:00.000Z"
        )
        turn = other_way(asked(core, [*entries, seen_right]), "rerotate")
        assert turn["possible"] == 0
        assert "likelier fault" in turn["text"]

    def test_little_to_gain(self, core: Core) -> None:
        """16 degrees of a lens with 0.50 D leave 0.24 D of cylinder, and no turn is worth it.

        2 x 0.50 x sin 16 is 0.28 D at the lens (crossed cylinders), 0.8 of it at the glasses. What
        -9.50 -0.50 lying at 178 leaves is -0.14 -0.24 x 43, so the marks agree with it.
        """
        weak = {**TURNED, "sphere_cD": -950, "cylinder_cD": -50}
        left = {"left_sphere_cD": -14, "left_cylinder_cD": -24, "left_axis_deg": 43}
        turn = other_way(asked(core, turned_eye(lens=weak, cylinder=-50, **left)), "rerotate")
        assert turn["possible"] == 0
        assert "Little would be gained" in turn["text"]

    def test_turned_again_with_a_low_vault(self, core: Core) -> None:
        """Off, back and off again with 180 um: the lens is too short, another turn is no help."""
        entries = turned_eye(vault_um=180)
        surgery = entries[-5]
        first = surgeries.found(
            "axis_seen", surgery, "R", seen_axis_deg=176, taken="2026-10-22T08:00:00.000Z"
        )
        back = surgeries.found(
            "axis_seen", surgery, "R", seen_axis_deg=14, taken="2026-10-30T08:00:00.000Z"
        )
        once = other_way(asked(core, entries), "rerotate")
        again = other_way(asked(core, [*entries, first, back]), "rerotate")
        assert (once["possible"], again["possible"]) == (1, 0)
        assert "Another length" in again["text"]


class TestWhatIsMissing:
    """Nothing is reckoned from what is not there."""

    def test_without_a_lens(self, core: Core) -> None:
        """An eye without a lens has nothing to exchange."""
        answer = asked(core, before())
        assert (answer["possible"], answer["implant"]) == (0, None)

    @pytest.mark.parametrize("kind", ["refraction", "keratometry", "chamber_depth"])
    def test_without_a_reading_from_before(self, core: Core, kind: str) -> None:
        """It says which one."""
        surgery = implanted()
        answer = asked(core, [*before(**{kind: None}), surgery, *seen(surgery)])
        assert answer["possible"] == 0
        assert [one["kind"] for one in answer["missing"]] == [f"reading.{kind}"]

    def test_a_vault_in_bright_light_alone(self, core: Core) -> None:
        """Bright light narrows the gap; only dim light is compared."""
        surgery = implanted()
        vault = surgeries.found("vault", surgery, "R", vault_um=1300, light="photopic")
        answer = asked(core, [*before(), surgery, vault])
        assert [one["kind"] for one in answer["missing"]] == ["followup.vault"]

    def test_readings_after_surgery_are_not_the_natural_eye(self, core: Core) -> None:
        """A refraction entered as from before, though the lens was in, changes nothing."""
        late = records.reading("reading.refraction", "R", "2026-11-20T08:00:00.000Z", sphere_cD=0)
        entries = operated()
        assert asked(core, [*entries, late])["naked"] == asked(core, entries)["naked"]


class TestWhatToWeighInstead:
    """A length that promises little names another one only where another promises more."""

    def advice(self, core: Core, lengths_um: list[int], length_um: int) -> str:
        """Return what the caution about the new vault says to do, with that length chosen."""
        given = exchanges.reference()
        models = [{**one, "lengths_um": lengths_um} for one in given["catalogue"]["body"]["models"]]
        body = {**given["catalogue"]["body"], "models": models}
        catalogue = {**given["catalogue"], "body": body}
        lens = {"model": "Model A-t", "sphere_cD": -1150, "cylinder_cD": -150, "axis_deg": 175,
                "length_um": length_um}  # fmt: skip
        answer = asked(
            core, operated(), choice=lens, reference=exchanges.reference(catalogue=catalogue)
        )
        return next(str(one["do"]) for one in answer["findings"] if one["code"] == "E4.new_vault")

    def test_another_length_promises_more(self, core: Core) -> None:
        """Of 12.60 mm 9 in 100 lie in the window, of 12.10 mm 71 (worked above)."""
        advice = self.advice(core, [12100, 12600, 13100], 12600)
        assert advice == "Weigh another length, and watching it."

    def test_no_length_promises_more(self, core: Core) -> None:
        """The shortest of the catalogue is the best and still bad: no other one is named."""
        advice = self.advice(core, [12600, 13100], 12600)
        assert advice.startswith("No other length of the catalogue promises more")
