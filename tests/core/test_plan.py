"""A whole plan: of worked and published eyes, and which readings it uses."""

import pytest

from tests.core import records
from tests.core.plans import code_levels, planned
from tests.core_runtime import Core, in_cpython


class TestWorkedEye:
    """-9.00 -2.50 x 15 with an oblique cornea, a vault of 500 um: worked by a matrix route."""

    def test_exact_lens_and_forward_prediction(self, core: Core) -> None:
        """-9.775 -2.447 x 14.77 exactly; -9.75 -2.50 x 15 leaves +0.024 -0.046 x 115 (computed)."""
        length = planned(core, records.whole_eye())["lengths"][2]
        assert length["mean_um"] == 500
        assert length["exact"] == {"sphere_cD": -977, "cylinder_cD": -245, "axis_deg": 15}
        first = length["lenses"][0]
        assert (first["sphere_cD"], first["cylinder_cD"], first["axis_deg"]) == (-975, -250, 15)
        left = {"sphere_cD": 2, "cylinder_cD": -5, "axis_deg": 115, "mean_cD": 0}
        assert first["predicted"] == left

    def test_both_pythons_say_the_same_plan(self, browser_core: Core) -> None:
        """Every integer and sentence agrees, not only the lens."""
        entries = records.whole_eye()
        assert planned(in_cpython, entries) == planned(browser_core, entries)

    def test_moves(self, core: Core) -> None:
        """5 degrees add 0.345 D of cylinder, 100 um about 0.06 D, 0.25 D about 0.19 D (worked)."""
        moves = planned(core, records.whole_eye())["moves"]
        assert abs(moves["turn_5deg_cD"] + 35) <= 1
        assert abs(moves["vault_100um_cD"] - 6) <= 1
        assert abs(moves["refraction_quarter_cD"] - 19) <= 1

    def test_probabilities_cover_everything(self, core: Core) -> None:
        """Low, in and high add up to one, and the curve has its peak where the mean is."""
        for length in planned(core, records.whole_eye())["lengths"]:
            assert length["p_low_e4"] + length["p_in_e4"] + length["p_high_e4"] == 10000
            assert len(length["curve"]) == 56
        middle = planned(core, records.whole_eye())["lengths"][2]["curve"]
        assert middle.index(max(middle)) * 20 == 500
        assert max(middle) == 1000


class TestPublishedEye:
    """Manifest -8.25 -5.25 x 180 (Case Rep Ophthalmol 2010;1:99); everything else is invented."""

    def test_an_unusual_eye_gets_its_lens(self, core: Core) -> None:
        """A strong toric lens near the axis is offered.

        By hand: -8.25 and -13.50 D need about -9.1 and -14.2 D in the eye.
        """
        eye = records.whole_eye(
            refraction={"sphere_cD": -825, "cylinder_cD": -525, "axis_deg": 180},
            keratometry={"flat_cD": 4200, "steep_cD": 4550, "steep_meridian_deg": 90},
        )
        plan = planned(core, eye)
        exact = plan["lengths"][2]["exact"]
        assert exact["axis_deg"] == 180
        assert -935 <= exact["sphere_cD"] <= -885
        assert -1460 <= exact["sphere_cD"] + exact["cylinder_cD"] <= -1390
        assert plan["recommended"]["model"] == "Model A-t"
        assert abs(plan["recommended"]["cylinder_cD"] - exact["cylinder_cD"]) <= 25


class TestReadingsUsed:
    """Which value stands when a quantity was read more than once."""

    def test_refractions_are_averaged_as_vectors(self, core: Core) -> None:
        """X 5 and x 175 average to x 180, not to x 90; the cylinder shrinks by cos 10."""
        eye = records.whole_eye(refraction=None)
        for seq, axis_deg in ((1, 5), (2, 175)):
            eye.append(records.reading("reading.refraction", axis_deg=axis_deg, seq=seq))
        used = planned(core, eye)["inputs"]["refraction"]
        assert used["axis_deg"] == 180
        assert used["cylinder_cD"] == -246
        # The mean sphere -10.25 stays: -10.25 + 2.46 / 2.
        assert used["sphere_cD"] == -902

    def test_mean_axis_just_past_zero_is_180(self, core: Core) -> None:
        """X 180 twice and x 1 average to x 0.33, which is written 180."""
        eye = records.whole_eye(refraction=None)
        for seq, axis_deg in ((1, 180), (2, 180), (3, 1)):
            eye.append(records.reading("reading.refraction", axis_deg=axis_deg, seq=seq))
        assert planned(core, eye)["inputs"]["refraction"]["axis_deg"] == 180

    def test_both_cylinder_forms_are_one_refraction(self, core: Core) -> None:
        """-11.50 +2.50 x 105 is -9.00 -2.50 x 15: the same inputs and the same lens."""
        plus = {"sphere_cD": -1150, "cylinder_cD": 250, "axis_deg": 105}
        minus, turned = (
            planned(core, records.whole_eye()),
            planned(core, records.whole_eye(refraction=plus)),
        )
        assert minus["inputs"] == turned["inputs"]
        assert minus["recommended"] == turned["recommended"]

    def test_different_vertex_distances_meet_at_the_cornea(self, core: Core) -> None:
        """-10.00 at 12 mm is -8.93 and at 14 mm -8.77 at the cornea; mean -8.85 (by hand)."""
        plain = {"sphere_cD": -1000, "cylinder_cD": 0, "axis_deg": None}
        eye = records.whole_eye(refraction=plain)
        eye.append(records.reading("reading.refraction", vertex_um=14000, seq=2, **plain))
        used = planned(core, eye)["inputs"]["refraction"]
        assert used["plane"] == "corneal"
        assert used["vertex_um"] is None
        assert used["sphere_cD"] == -885

    def test_corneal_refraction_is_not_vertexed_again(self, core: Core) -> None:
        """-8.9286 at the cornea and -10.00 at 12 mm ask for one lens within rounding."""
        glasses = {"sphere_cD": -1000, "cylinder_cD": 0, "axis_deg": None}
        cornea = {**glasses, "sphere_cD": -893, "plane": "corneal", "vertex_um": None}
        one = planned(core, records.whole_eye(refraction=glasses))["lengths"][2]["exact"]
        other = planned(core, records.whole_eye(refraction=cornea))["lengths"][2]["exact"]
        assert abs(one["sphere_cD"] - other["sphere_cD"]) <= 1

    def test_lengths_are_averaged_within_one_device(self, core: Core) -> None:
        """11.600 and 11.651 mm of one calliper give 11.626 mm: a half goes up."""
        eye = records.whole_eye(white_to_white={"diameter_um": 11600})
        eye.append(records.reading("reading.white_to_white", diameter_um=11651, seq=2))
        assert planned(core, eye)["inputs"]["diameter_um"] == 11626

    def test_two_devices_leave_nothing_to_plan_with(self, core: Core) -> None:
        """No average, no choice by clock: the plan waits until one device is withdrawn."""
        eye = records.whole_eye()
        eye.append(records.reading("reading.white_to_white", device="topographer 1", seq=2))
        plan = planned(core, eye)
        assert plan["possible"] == 0
        assert plan["inputs"]["diameter_um"] is None
        assert "White-to-white: settle the readings" in [one["text"] for one in plan["missing"]]

    def test_sulcus_goes_before_white_to_white(self, core: Core) -> None:
        """The sulcus has its own prior, narrower and centred 0.48 mm differently."""
        eye = [*records.whole_eye(), records.reading("reading.sulcus_to_sulcus")]
        plan = planned(core, eye)
        assert plan["model"]["diameter_kind"] == "sulcus_to_sulcus"
        # 500 + 550 x (12.60 - 12.10 - 0.50) = 500.
        assert plan["lengths"][2]["mean_um"] == 500
        white = planned(core, records.whole_eye())["lengths"][2]
        assert plan["lengths"][2]["scale_um"] < white["scale_um"]

    def test_lens_rise_over_the_sulcus_is_not_the_models(self, core: Core) -> None:
        """A rise over the angle lowers the vault by 400 um per mm; one over the sulcus is told."""
        angle = [*records.whole_eye(), records.reading("reading.lens_rise", rise_um=400)]
        sulcus = [
            *records.whole_eye(),
            records.reading("reading.lens_rise", rise_um=400, reference="sulcus"),
        ]
        assert planned(core, angle)["lengths"][2]["mean_um"] == 460
        plan = planned(core, sulcus)
        assert plan["lengths"][2]["mean_um"] == 500
        assert code_levels(plan)["D32.rise"] == "note"

    def test_older_visit_is_not_averaged_in(self, core: Core) -> None:
        """A refraction from last year shows stability; the plan uses this visit's alone."""
        old = records.reading("reading.refraction", "R", "2025-10-01T08:00:00.000Z", seq=2)
        plan = planned(core, [*records.whole_eye(refraction={"sphere_cD": -925}), old])
        assert plan["inputs"]["refraction"]["sphere_cD"] == -925
        assert "D02.no_earlier" not in code_levels(plan)

    @pytest.mark.parametrize(
        "kind", [kind.split(".")[1] for kind in records.PLAIN_EYE if kind != "reading.angle"]
    )
    def test_nothing_is_guessed(self, core: Core, kind: str) -> None:
        """Each needed reading, when it is missing, is named and stops the calculation."""
        plan = planned(core, records.whole_eye(**{kind: None}))
        assert plan["possible"] == 0
        assert [one["kind"] for one in plan["missing"]] == ["reading." + kind]
        assert plan["lengths"] == []
        assert plan["shown"] is None

    def test_other_eye_lends_nothing(self, core: Core) -> None:
        """A complete left eye leaves the right eye empty."""
        plan = planned(core, records.whole_eye("L"))
        assert plan["possible"] == 0
        assert len(plan["missing"]) == 10
