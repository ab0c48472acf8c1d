"""What a plan offers, how each lens misses the aim, and what an approval would sign."""

import pytest

from tests.core import records
from tests.core.plans import code_levels, planned, with_models
from tests.core_runtime import Core


def words_of_miss(mean: int, aim: int, is_short: bool) -> str:
    """Return how a lens of a mean sphere [cD] misses its aim [cD]: too little of it or too much."""
    if mean == aim:
        return "on the aim"
    left_short = mean < aim
    how = "under" if left_short == is_short else "over"
    return f"{how}-corrected by {abs(mean - aim) / 100:.2f} D"


class TestOffers:
    """Lenses of the catalogue."""

    def test_small_cylinder_offers_a_spherical_lens_too(self, core: Core) -> None:
        """Below the smallest cylinder step a lens without cylinder stands among the three."""
        weak = {"sphere_cD": -900, "cylinder_cD": -25, "axis_deg": 90}
        flat = {"flat_cD": 4350, "steep_cD": 4350}
        offers = planned(core, records.whole_eye(refraction=weak, keratometry=flat))["lengths"][2]
        assert len(offers["lenses"]) == 3
        assert [one for one in offers["lenses"] if one["cylinder_cD"] == 0]

    @pytest.mark.parametrize(("sphere", "aim"), [(-900, 0), (-900, -50), (-300, -50), (150, 0)])
    def test_each_says_how_it_misses_the_aim(self, core: Core, sphere: int, aim: int) -> None:
        """Of the aim, not of the nearest lens; what a short-sighted eye keeps is too little."""
        entries = records.whole_eye(
            refraction={"sphere_cD": sphere, "cylinder_cD": -100},
            chamber_depth={"depth_um": 3200},
        )
        target = {"sphere_cD": aim, "cylinder_cD": 0, "axis_deg": None}
        plan = planned(core, entries, target=target)
        offers = [lens for length in plan["lengths"] for lens in length["lenses"]]
        for one in offers:
            miss = words_of_miss(one["predicted"]["mean_cD"], aim, sphere < 0)
            assert one["why"].split(", ")[-1] == miss
        ways = {one["why"].split(", ")[-1].split("-")[0] for one in offers}
        assert {"under", "over"} <= ways
        first = plan["lengths"][0]["lenses"]
        assert [one["why"].startswith("nearest") for one in first] == [True, False, False]

    def test_lens_outside_the_catalogue_is_not_replaced(self, core: Core) -> None:
        """An eye beyond the range has a stop, no recommendation and nothing to sign."""
        plan = planned(core, records.whole_eye(refraction={"sphere_cD": -2600}))
        assert plan["recommended"] is None
        assert plan["shown"] is None
        assert code_levels(plan)["D28.none"] == "stop"

    def test_choice_is_shown_with_its_own_promise(self, core: Core) -> None:
        """The surgeon's own lens is predicted, not the recommended one."""
        lens = {
            "model": "Model A-t",
            "sphere_cD": -1000,
            "cylinder_cD": -200,
            "axis_deg": 15,
            "length_um": 12600,
        }
        plan = planned(core, records.whole_eye(), choice=lens)
        # +0.183 -0.362 x 13.8 (worked by an independent matrix route).
        assert plan["shown"]["lens"] == plan["choice"] == lens
        predicted = plan["shown"]["predicted"]
        assert (predicted["sphere_cD"], predicted["cylinder_cD"]) == (18, -36)
        assert predicted["axis_deg"] == 14

    @pytest.mark.parametrize(
        "change",
        [
            {"sphere_cD": -990},
            {"cylinder_cD": -225},
            {"length_um": 12500},
            {"model": "Model B"},
            {"sphere_cD": -2000},
        ],
    )
    def test_choice_outside_the_catalogue_stops(
        self, core: Core, change: dict[str, object]
    ) -> None:
        """A power, length or model that is not made is a fixed stop and cannot be signed."""
        lens = planned(core, records.whole_eye())["recommended"]
        plan = planned(core, records.whole_eye(), choice={**lens, **change})
        stops = [one for one in plan["findings"] if one["code"] == "D28.choice"]
        assert [one["fixed"] for one in stops] == [1]
        assert plan["shown"] is None

    def test_labelled_power_must_be_explained(self, core: Core) -> None:
        """Without the supplier's convention on record nothing can be ordered (D36)."""
        models = {**records.MODEL_T, "labelled_power": None}
        plan = planned(core, records.whole_eye(), reference=with_models(models))
        assert code_levels(plan)["D36.convention"] == "stop"
        assert plan["shown"] is None

    def test_nothing_to_sign_while_a_fixed_stop_stands(self, core: Core) -> None:
        """A question nobody asked leaves the plan to be looked at, and nothing to be signed."""
        entries = records.whole_eye()
        entries[1] = records.answers(eye_disease="not_asked")
        plan = planned(core, entries)
        assert plan["recommended"] is not None
        assert plan["shown"] is None

    def test_shown_names_everything_it_stands_on(self, core: Core) -> None:
        """Readings by id, core, catalogue, limits, findings: what the digest will cover."""
        entries = records.whole_eye()
        shown = planned(core, entries)["shown"]
        assert shown["evidence"] == sorted(str(entry["id"]) for entry in entries)
        assert shown["core"] == records.CORE
        assert shown["catalogue"] == "a" * 64
        assert shown["limits"] == "b" * 64
        assert {one["code"] for one in shown["findings"]} == {"D02.no_earlier", "D32.vault"}

    def test_sentence_reads_signs_as_words(self, core: Core) -> None:
        """The read-back has eye, sign words, units and model."""
        said = planned(core, records.whole_eye())["sentence"]
        assert said == (
            "Right eye: sphere minus 9.75, cylinder minus 2.50 at axis 15, length 12.60 mm,"
            " Model A-t."
        )
