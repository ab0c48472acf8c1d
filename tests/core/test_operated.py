"""E2: a reading taken with a lens in the eye never feeds a plan silently."""

import json
from typing import Any

from tests.core import records
from tests.core.surgeries import OPERATED, first_eye, implanted
from tests.core_runtime import Core

Entry = records.Entry
THE_DAY, DAY_AFTER = f"{OPERATED}T08:00:00.000Z", "2026-10-21T08:00:00.000Z"


def found(core: Core, *more: Entry, eye: str = "L") -> dict[str, dict[str, Any]]:
    """Return E2 findings of the operated eye's plan: code -> finding."""
    entries = [*records.whole_eye("R"), *first_eye("L"), *more]
    asked = records.plan_request(entries, eye=eye)
    answer = json.loads(core("door", "call", json.dumps(asked))["value"])
    return {one["code"]: one for one in answer["findings"] if one["rule"] == "E2"}


class TestOperated:
    """Readings before, on and after the day of surgery."""

    def test_refraction_of_the_day_after(self, core: Core) -> None:
        """A plano refraction read through the lens is a stop that names it, and is no plan's."""
        late = records.reading("reading.refraction", "L", DAY_AFTER, sphere_cD=-25)
        told = found(core, implanted("L"), late)
        assert list(told) == ["E2.altered"]
        one = told["E2.altered"]
        assert (one["level"], one["fixed"], one["records"]) == ("stop", 0, [late["id"]])
        assert "after the surgery of 20 Oct 2026: refraction." in one["text"]
        assert "enter them after surgery" in one["do"]

    def test_cornea_is_a_caution(self, core: Core) -> None:
        """A cornea measured afterwards is the cornea still; it is said, not stopped."""
        late = records.reading("reading.keratometry", "L", DAY_AFTER)
        told = found(core, implanted("L"), late)
        assert [(code, one["level"]) for code, one in told.items()] == [("E2.others", "caution")]

    def test_before_and_on_the_day(self, core: Core) -> None:
        """What was read up to the day of surgery is of the natural eye."""
        same_day = records.reading("reading.refraction", "L", THE_DAY)
        assert found(core, implanted("L"), same_day) == {}
        assert found(core, implanted("L")) == {}

    def test_no_surgery_or_the_other_eye(self, core: Core) -> None:
        """Without surgery of this eye nothing is said."""
        late = records.reading("reading.refraction", "L", DAY_AFTER)
        assert found(core, late) == {}
        assert found(core, implanted("R"), late) == {}

    def test_corrected_day(self, core: Core) -> None:
        """A corrected day of surgery is the one that counts."""
        first = implanted("L")
        again = implanted(
            "L", operated="2026-10-22", replaces=first["id"], reason="a day off", seq=9
        )
        late = records.reading("reading.refraction", "L", DAY_AFTER)
        assert found(core, first, again, late) == {}
