"""One run: the same eyes through every way, in each world."""

import math
from collections.abc import Iterator
from random import Random
from typing import NamedTuple

from tests.calibration import charts, tally, truth, ways
from tests.calibration.tally import Seen

Found = dict[str, list[Seen]]
Misses = dict[str, list[tuple[float, float]]]


class Run(NamedTuple):
    """What every way made of the same eyes, and the misses of both eyes of each person."""

    found: Found
    misses: Misses


def found_in(world: truth.World, seed: int, centres: int, people: int) -> Run:
    """Return what each way chose for every second eye, and the vault that became of it.

    Args:
        world: what is true.
        seed: of the draws; the same gives the same eyes and answers.
        centres: how many centres are drawn.
        people: how many people with two eyes in each, apart from a centre's own first eyes.
    """
    made = Run({}, {})
    for number in range(centres):
        rng = Random(f"{seed}/{world.name}/{number}")  # noqa: S311 - repeatable, no secret
        there = truth.centre(rng, world)
        models = ways.own_models(rng, world, there)
        for _ in range(people):
            person = charts.drawn(rng, world, there)
            for way, chosen in ways.all_ways(rng, world, there, person, models).items():
                vault_um = truth.vault_um(there, person.second, chosen.length_um)
                made.found.setdefault(way, []).append(Seen(number, chosen, vault_um))
            for model, pair in ways.both_misses(there, person, models).items():
                made.misses.setdefault(model, []).append(pair)
    return made


def report(world: truth.World, made: Run) -> Iterator[str]:
    """Yield the lines that are printed for one world."""
    found = made.found
    yield f"\nWorld: {world.name}. " + about(world)
    yield from tally.vault_table(found)
    yield ""
    yield from tally.caution_table(found)
    prior = next(seen for way, seen in found.items() if way.startswith("b "))
    yield "most often with the default prior, in 100: " + tally.which(prior)
    yield "\nRule D32 with the default prior, by the limit on the chance of a vault below 100 um:"
    yield from tally.limit_table(prior)
    yield "\nCorrelation of the two eyes' misses, 0.7 in the limits: " + tally.alike(made.misses)


def about(world: truth.World) -> str:
    """Return in words what is true in a world."""
    alone_um = math.sqrt(
        truth.own_sd_um(world) ** 2 + (truth.RISE_SLOPE_UM_PER_MM * truth.RISE_SD_MM) ** 2
        + (truth.MEAN_SLOPE_UM_PER_MM * world.wider_sd_mm) ** 2
    )  # fmt: skip
    return (
        f"Eye to eye {world.spread_um:.0f} um about"
        f" {'one sulcus scan' if world.scan_in_it else 'the true sulcus'},"
        f" so {alone_um:.0f} about one white-to-white; tails of a t with {world.tails_dof:g}"
        f" degrees of freedom; the two eyes' own errors correlate {world.fellow:g}; devices off by"
        f" {world.device_sd_mm:g} mm, centres by {world.centre_sd_um:.0f} um (SD)."
    )
