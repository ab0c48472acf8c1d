"""Findings of what a plan has calculated."""

from tests.core import records
from tests.core.plans import code_levels, finding, planned, with_models
from tests.core_runtime import Core


class TestCalculatedFindings:
    """Rules D30 and D32."""

    def test_gross_error_shows_in_the_power_ratio(self, core: Core) -> None:
        """A lens power out of all proportion to the refraction is questioned."""
        asked = {"id": "b" * 64, "body": {"title": "", "values": {"power_ratio_high_e2": 120}}}
        strict = {**records.REFERENCE, "limits": asked}
        assert "D30.ratio" not in code_levels(planned(core, records.whole_eye()))
        plan = planned(core, records.whole_eye(), reference=strict)
        assert code_levels(plan)["D30.ratio"] == "caution"

    def test_bad_length_is_questioned(self, core: Core) -> None:
        """The shortest length would often touch the natural lens: D32 speaks for it."""
        lens = {**planned(core, records.whole_eye())["recommended"], "length_um": 12100}
        plan = planned(core, records.whole_eye(), choice=lens)
        assert "would have a vault below 100" in finding(plan, "D32.vault")["text"]

    def test_uncertain_vault_of_a_scanned_sulcus(self, core: Core) -> None:
        """Nothing is called inferred that was scanned, and what is asked for is another scan."""
        eye = records.whole_eye(white_to_white={"diameter_um": 13020})
        scan = records.reading("reading.sulcus_to_sulcus", diameter_um=13500)
        said = [finding(planned(core, entries), "D32.vault") for entries in (eye, [*eye, scan])]
        assert "The sulcus is inferred" in said[0]["text"]
        assert said[0]["do"].startswith("Measure the sulcus")
        assert "inferred" not in said[1]["text"]
        assert said[1]["do"].startswith("Scan the sulcus once more")

    def test_little_room_beside_two_lengths_alike(self, core: Core) -> None:
        """The plan says which has the lower vault, and that its harm did not count the room.

        By the default prior, 11.40 mm white-to-white leaves 12.10 and 12.60 mm 3 in 100 apart, and
        550 um of vault a millimetre make the shorter one the lower.
        """
        eye = records.whole_eye(
            chamber_depth={"depth_um": 2900}, white_to_white={"diameter_um": 11400}
        )
        plan = planned(core, eye)
        assert plan["recommended"]["length_um"] == 12600
        assert "weigh the lower vault" in finding(plan, "D03.low")["do"]
        said = finding(plan, "D32.alike")["text"]
        assert said.endswith("That harm does not count how little room there is: 12.10 mm has the"
                             " lower vault.")  # fmt: skip
        roomy = planned(core, records.whole_eye(white_to_white={"diameter_um": 11400}))
        assert finding(roomy, "D32.alike")["text"].endswith("decides between them.")

    def test_the_lower_of_two_alike_is_the_one_recommended(self, core: Core) -> None:
        """Where the longer one has no lens of this power, nothing lower than the offer is named."""
        short = {**records.MODEL_T, "lengths_um": [12100]}
        weak = {**records.MODEL_T, "model": "Model W", "lengths_um": [12600], "sphere_min_cD": 0}
        eye = records.whole_eye(
            chamber_depth={"depth_um": 2900}, white_to_white={"diameter_um": 11400}
        )
        plan = planned(core, eye, reference=with_models(short, weak))
        assert plan["recommended"]["length_um"] == 12100
        assert "also has the lower vault" in finding(plan, "D32.alike")["text"]

    def test_lens_far_from_the_calculated_one(self, core: Core) -> None:
        """A choice a dioptre off is questioned by name."""
        lens = {**planned(core, records.whole_eye())["recommended"], "sphere_cD": -1075}
        plan = planned(core, records.whole_eye(), choice=lens)
        assert code_levels(plan)["D30.choice"] == "caution"

    def test_lens_much_too_far_needs_a_reason(self, core: Core) -> None:
        """Three dioptres away is a stop that only a written reason lifts (common practice)."""
        lens = planned(core, records.whole_eye())["recommended"]
        far = {**lens, "sphere_cD": lens["sphere_cD"] + 300}
        plan = planned(core, records.whole_eye(), choice=far)
        stops = [one for one in plan["findings"] if one["code"] == "D30.choice"]
        assert [(one["level"], one["fixed"]) for one in stops] == [("stop", 0)]
        assert plan["shown"] is not None
