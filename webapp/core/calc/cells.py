"""Calculations that a reader may ask for by name: endothelial cells."""

from collections import namedtuple

from webapp.core import endothelium
from webapp.core.calc.fields import AGE, CELLS
from webapp.core.errors import BadInput
from webapp.core.fields import Calculation, Field, Group, Items, Number

MinimumInput = namedtuple(
    "MinimumInput", ("age_y", "end_cells", "end_age_y", "loss_per_y", "surgical", "later")
)
TrendInput = namedtuple("TrendInput", ("time_y", "cells", "floor_cells"))

SHARE = Number(0.0, 0.9)


def endothelium_minimum(given: MinimumInput) -> dict[str, object]:
    """Return the count needed now to keep enough for life."""
    if given.end_age_y < given.age_y:
        raise BadInput("end_age_y", "end_age_y must not be before age_y; check both ages")
    later = 0.0 if given.later is None else given.later
    return {
        "minimum_cells_per_mm2": endothelium.minimum_count(
            given.age_y, given.end_cells, given.end_age_y, given.loss_per_y, given.surgical, later
        )
    }


def endothelium_trend(given: TrendInput) -> dict[str, object]:
    """Return the yearly loss with its interval, and the time to the floor."""
    if len(given.cells) != len(given.time_y):
        raise BadInput("cells_per_mm2", "cells_per_mm2 must have one count for each time")
    found = endothelium.trend(given.time_y, given.cells, given.floor_cells)
    return {
        "loss_percent_per_y": found.loss_percent_per_y,
        "interval95_percent_per_y": [found.low_percent_per_y, found.high_percent_per_y],
        "years_to_floor": found.years_to_floor,
    }


CALCULATIONS = (
    Calculation(
        "endothelium-minimum",
        "The endothelial count needed now to keep enough for life.",
        Group(
            MinimumInput,
            (
                Field("age_y", AGE, True, "Age now."),
                Field("end_cells_per_mm2", CELLS, True, "Count to be left at the end."),
                Field("end_age_y", AGE, True, "Age that the cells must last to."),
                Field(
                    "loss_per_y",
                    Number(0.0, 0.2, "per year"),
                    True,
                    "Continuous rate of chronic loss; 0.01 is 1 % a year.",
                ),
                Field("surgical_loss", SHARE, True, "Share lost to this operation; 0.05 is 5 %."),
                Field("later_loss", SHARE, False, "Share lost to later surgery; 0 if left out."),
            ),
        ),
        endothelium_minimum,
    ),
    Calculation(
        "endothelium-trend",
        "Yearly endothelial loss after surgery, and the time to a floor.",
        Group(
            TrendInput,
            (
                Field("time_y", Items(AGE), True, "Times after surgery, 3 or more over a year."),
                Field("cells_per_mm2", Items(CELLS), True, "The count at each time."),
                Field("floor_cells_per_mm2", CELLS, True, "The count whose time is asked for."),
            ),
        ),
        endothelium_trend,
    ),
)
