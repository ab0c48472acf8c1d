"""The beam figure: places, zones and words. Expected places are worked by hand."""

import re
from typing import Any

from webapp.desk import beam


def length(**changed: Any) -> dict[str, Any]:  # noqa: ANN401 - any field of a length
    """Return one length of a plan with a triangular curve that peaks at 500 um."""
    curve = [1000 - 40 * abs(index - 25) for index in range(56)]
    return {
        "length_um": 12500, "mean_um": 460, "low95_um": 236, "high95_um": 684,
        "p_low_e4": 310, "p_in_e4": 9600, "p_high_e4": 40,
        "curve": [max(0, height) for height in curve], **changed,
    }  # fmt: skip


class TestFigure:
    """All lengths before one window."""

    def test_the_window_lies_where_it_is_said_to_lie(self) -> None:
        """250 of 1100 um is 22.73 % of the width, and 750 is 68.18 %."""
        figure = beam.figure([length()], (250, 750), None)
        assert (figure.window_left, figure.window_right) == ("22.73%", "68.18%")
        assert figure.window_width == "45.45%"

    def test_counts_stand_in_their_zones(self) -> None:
        """Low, in and high as natural counts."""
        row = beam.figure([length()], (250, 750), None).rows[0]
        assert (row.low, row.within, row.high) == ("3", "96", "<1")

    def test_the_row_is_read_out_whole(self) -> None:
        """The sentence holds length, vault, interval and the three counts."""
        row = beam.figure([length(low95_um=-29)], (250, 750), None).rows[0]
        assert row.spoken == (
            "12.50 millimetres. Predicted vault 460 micrometres, 95 in 100 between minus 29 and "
            "684. Of 100 such eyes: 96 in the window, 3 too low, under 1 too high."
        )
        assert row.interval == "−29 to 684"

    def test_only_the_approved_length_is_marked(self) -> None:
        """One row is chosen, and none without an approval."""
        lengths = [length(), length(length_um=12750)]
        chosen = [row.is_chosen for row in beam.figure(lengths, (250, 750), 12750).rows]
        assert chosen == [False, True]
        assert not any(row.is_chosen for row in beam.figure(lengths, (250, 750), None).rows)

    def test_areas_meet_at_the_window_and_lie_on_the_curve(self) -> None:
        """The solid part runs from 250 to 750 um and starts at the height between two samples."""
        row = beam.figure([length()], (250, 750), None).rows[0]
        points = [(float(x), float(y)) for x, y in re.findall(r"[ML]([\d.]+) ([\d.]+)", row.inside)]
        assert (points[0], points[-1]) == ((250.0, 40.0), (750.0, 40.0))
        # Half-way between samples 240 um (height 480) and 260 um (height 520): 500 of 1000.
        assert points[1] == (250.0, 40 - 34 * 0.5)
        assert row.below.startswith("M0 40.0") and row.above.endswith("L1100 40.0Z")

    def test_one_vertical_scale_for_all_rows(self) -> None:
        """A curve half as high is drawn half as high: wide means low."""
        flat = length(curve=[height // 2 for height in length()["curve"]])
        tall_row, flat_row = beam.figure([length(), flat], (250, 750), None).rows
        assert min(heights(tall_row.line)) == 40 - 34
        assert min(heights(flat_row.line)) == 40 - 17

    def test_what_lies_beyond_the_scale_is_drawn_at_its_end(self) -> None:
        """The bar ends with the scale while the printed numbers stay as they are."""
        row = beam.figure([length(high95_um=1186)], (250, 750), None).rows[0]
        assert row.bar_right == "100.00%"
        assert row.interval == "236 to 1186"


def heights(path: str) -> list[float]:
    """Return the heights [px down] of a path's points."""
    return [float(y) for _, y in re.findall(r"[ML]([\d.]+) ([\d.]+)", path)]
