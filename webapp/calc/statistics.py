"""The fields of the statistics that can be asked for by name; the arithmetic is in audit."""

from typing import NamedTuple

from webapp.audit.centroid import centroid
from webapp.audit.clusters import clustered_mean
from webapp.audit.proportion import clopper_pearson, wilson
from webapp.audit.survival import kaplan_meier
from webapp.calc.kinds import Whole
from webapp.core.errors import BadInput
from webapp.core.fields import Calculation, Field, Group, Items, Number

MOST_EYES = 1_000_000


class CentroidInput(NamedTuple):
    """Points of the double-angle plot [D]."""

    points_d: list[tuple[float, float]]


class ProportionInput(NamedTuple):
    """Events among eyes, and the coverage wanted."""

    events: int
    n_eyes: int
    level: float | None


class SurvivalInput(NamedTuple):
    """Follow-up of each eye [y] and whether it ended with the event."""

    times_y: list[float]
    events: list[int]


class ClusterInput(NamedTuple):
    """Values of each person's eyes."""

    clusters: list[list[float]]


def answer_centroid(given: CentroidInput) -> dict[str, object]:
    """Answer ``centroid``."""
    found = centroid(given.points_d)
    return {
        "centroid_D": list(found.centre_d),
        "mean_ellipse_D": list(found.mean_ellipse_d),
        "eye_ellipse_D": list(found.eye_ellipse_d),
        "tilt_deg": found.tilt_deg,
    }


def answer_proportion(given: ProportionInput) -> dict[str, object]:
    """Answer ``proportion``. Raises: BadInput for more events than eyes."""
    if given.events > given.n_eyes:
        raise BadInput("events", "events must not be more than n; check which is which")
    level = 0.95 if given.level is None else given.level
    return {
        "wilson": list(wilson(given.events, given.n_eyes, level)),
        "clopper_pearson": list(clopper_pearson(given.events, given.n_eyes, level)),
    }


def answer_survival(given: SurvivalInput) -> dict[str, object]:
    """Answer ``survival``. Raises: BadInput for lists of different lengths."""
    if len(given.times_y) != len(given.events):
        raise BadInput("event", "event must have one 0 or 1 for each time")
    rows = kaplan_meier(given.times_y, [event == 1 for event in given.events])
    return {"rows": [row._asdict() for row in rows]}


def answer_clustered_mean(given: ClusterInput) -> dict[str, object]:
    """Answer ``clustered-mean``."""
    return clustered_mean(given.clusters)._asdict()


POINT = Items(Number(-55.0, 55.0, "D"), least=2, exactly=2)
POINTS = Field("points_D", Items(POINT, least=3), True, "x and y of each eye, double angle.")
EVENTS = Field("events", Whole(0, MOST_EYES), True, "How many had it; not more than n.")
COUNT = Field("n", Whole(1, MOST_EYES), True, "How many were seen.")
LEVEL = Field("level", Number(0.5, 0.999), False, "Coverage; 0.95 if left out.")
TIMES = Field("time_y", Items(Number(0.0, 120.0, "y")), True, "To the event or the last visit.")
EVENT = Field("event", Items(Whole(0, 1)), True, "For each time: 1 the event, 0 still without it.")
VALUES = Items(Number(-1e6, 1e6))
CLUSTERS = Field("clusters", Items(VALUES), True, "For each person, the values of the eyes.")

CALCULATIONS = (
    Calculation(
        "centroid",
        "Mean astigmatism in the double-angle plot, with 95 % ellipses of the mean and of an eye.",
        Group(CentroidInput, (POINTS,)),
        answer_centroid,
    ),
    Calculation(
        "proportion",
        "A share of eyes with Wilson's and the exact (Clopper-Pearson) interval.",
        Group(ProportionInput, (EVENTS, COUNT, LEVEL)),
        answer_proportion,
    ),
    Calculation(
        "survival",
        "Share still free of a late event (Kaplan-Meier), with log-log 95 % intervals.",
        Group(SurvivalInput, (TIMES, EVENT)),
        answer_survival,
    ),
    Calculation(
        "clustered-mean",
        "Mean over eyes, with a standard error that allows for two eyes of one person.",
        Group(ClusterInput, (CLUSTERS,)),
        answer_clustered_mean,
    ),
)
