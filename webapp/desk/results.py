"""What came of the implanted lenses, for surgeon and auditor: counts, then what they allow."""

from collections.abc import Sequence
from typing import NamedTuple

from flask import Blueprint, render_template
from flask.typing import ResponseReturnValue

from webapp.access import gate
from webapp.audit.centroid import Centroid
from webapp.audit.results import ACCEPTABLE, ENOUGH, SIGNAL, UNACCEPTABLE, Drift, Share
from webapp.core.optics import PowerVector, axis_of
from webapp.desk import entry
from webapp.desk.moments import day
from webapp.desk.numbers import fixed
from webapp.flow import results

bp = Blueprint("results", __name__, url_prefix="/desk/results")
bp.before_request(entry.require_sign_in)

WIDTH, HEIGHT = 256.0, 100.0
"""Of the drawing of the running sum."""


class Band(NamedTuple):
    """How many vaults lie in one band."""

    words: str
    lenses: int


class Drawing(NamedTuple):
    """The running sum as points of a line, and where its limit lies."""

    line: str
    limit_y: str
    text: str
    rows: list[tuple[str, str, str]]
    """Date of surgery, inside or outside, the sum after it."""


@bp.get("")
def show() -> ResponseReturnValue:
    """Show the results at every site that the reader may look at."""
    found = results.of(gate.current_actor())
    people, centroid = found.astigmatism
    return render_template(
        "desk/results.html",
        found=found,
        enough=ENOUGH,
        bands=bands(found.window_um, found.vaults.bands),
        inside=share_words(found.vaults.inside),
        drift=drawing(found.drift) if found.drift else None,
        drift_words=drift_words(),
        astigmatism=centroid_words(people, centroid) if centroid else None,
        astigmatism_people=people,
        hundredths=lambda value: fixed(round(100 * value), 100, 2),
    )


def bands(edges_um: Sequence[int], counts: Sequence[int]) -> list[Band]:
    """Return the bands of vault in words, each with its count."""
    touch, low, high, very_high = edges_um
    words = (
        f"below {touch} µm", f"{touch} to {low - 1} µm",
        f"{low} to {high} µm, the window", f"{high + 1} to {very_high} µm", f"above {very_high} µm",
    )  # fmt: skip
    return [Band(*one) for one in zip(words, counts, strict=True)]


def share_words(share: Share) -> str:
    """Return a share in words: with its interval, or why it has none."""
    said = f"{share.events} of {share.people}"
    if share.interval is None:
        return f"{said}. Of fewer than {ENOUGH} people no share is given: chance alone decides it."
    low, high = (f"{100 * end:.0f}" for end in share.interval)
    in_hundred = f"{100 * share.events / share.people:.0f}"
    return (
        f"{said}: {in_hundred} in 100. In 95 of 100 such samples the true share lies between"
        f" {low} and {high} in 100."
    )


def drift_words() -> str:
    """Return what the running sum is made of, and what its limit means."""
    return (
        f"The sum rises with each vault outside the window and falls with each inside, so that it"
        f" stays low at {100 * ACCEPTABLE:.0f} outside in 100 and climbs at"
        f" {100 * UNACCEPTABLE:.0f}. The limit is {SIGNAL:.0f}: by chance it is reached about once"
        f" in 200 eyes, and after about 18 where the share has doubled (simulated; both shares are"
        f" this project’s choice). A signal asks for a look at the cases behind it and proves"
        f" nothing."
    )


def drawing(drift: Drift) -> Drawing:
    """Return the running sum as it is drawn, said and tabled."""
    path, signals = drift.chart
    top = max(SIGNAL, *path) * 1.1
    step = WIDTH / max(1, len(path) - 1)
    height = [HEIGHT * (1 - value / top) for value in path]
    line = " ".join(f"{step * place:.1f},{y:.1f}" for place, y in enumerate(height))
    said = "It did not reach its limit."
    if signals:
        days = ", ".join(day(drift.operated[place]) for place in signals)
        said = f"It reached its limit with the surgery of {days}, and began again at 0."
    rows = [
        (day(operated), "outside" if event else "inside", f"{value:.2f}")
        for operated, event, value in zip(drift.operated, drift.events, path, strict=True)
    ]
    limit_y = f"{HEIGHT * (1 - SIGNAL / top):.1f}"
    return Drawing(line, limit_y, f"After {len(path)} people: {path[-1]:.2f}. {said}", rows)


def centroid_words(people: int, found: Centroid) -> str:
    """Return the mean astigmatism with both ellipses in words."""
    x_d, y_d = found.centre_d
    size_d = (x_d * x_d + y_d * y_d) ** 0.5
    # Axes go from 1 to 180; a whole degree of 0 is 180.
    axis_deg = round(axis_of(PowerVector(0.0, x_d / 2, y_d / 2))) or 180
    larger, smaller = found.mean_ellipse_d
    wide, narrow = found.eye_ellipse_d
    return (
        f"Over {people} people the mean is a cylinder of {size_d:.2f} D at {axis_deg}°."
        f" In the double-angle plot the true mean lies, in 95 of 100 such samples, in an ellipse of"
        f" {larger:.2f} by {smaller:.2f} D about it, and the next eye in one of {wide:.2f} by"
        f" {narrow:.2f} D."
    )
