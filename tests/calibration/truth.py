"""Invented centres and people whose true vault is known: what is drawn, and where it comes from.

The vault that a lens settles at is a line in its length over the sulcus, and what the eye adds:

    500 + centre + slope (length - sulcus - 0.5 mm) - 200 (lens rise - 0.26 mm) + own error   [um]

The plan knows none of these numbers. It sees readings with their errors, off by what the centre's
devices are off, and lens lengths in whole steps.
"""

import math
from random import Random
from typing import NamedTuple

# Slopes of three published regressions [um/mm] (SCIENCE C3: n 83, n 72 read; n ? from memory).
SLOPES_UM_PER_MM = (657.0, 375.0, 661.0)
MEAN_SLOPE_UM_PER_MM = 565.0
# Vault where the lens is 0.5 mm longer than the sulcus, in the mean of all centres: achieved 477
# (n 200), 530 (n 83), 556 (n 118), 716 (n 240) in series (abstracts read).
MEAN_VAULT_UM = 500.0
# Settled against a week: 530 and 517 um (83 eyes, abstract read); the scatter is assumed.
DRIFT_UM, DRIFT_SD_UM, DRIFT_DAYS = -20.0, 50.0, 16.0
# Half of what -400 um/mm of lens thickness shows (assumed): a rise is no thickness.
RISE_SLOPE_UM_PER_MM, RISE_MM, RISE_SD_MM = -200.0, 0.26, 0.23
# White-to-white 11.70 +- 0.40 mm, sulcus 0.48 mm wider (273 eyes, abstract read).
WHITE_MM, WHITE_SD_MM, WIDER_MM = 11.70, 0.40, 0.48
# The two eyes' white-to-whites are nearly the same (assumed).
FELLOW_WHITE = 0.95
LEAST_SEEN_UM, MOST_SEEN_UM = 10, 2500
VAULT_READING_SD_UM = 20.0
"""Repeatability of one reading of a vault (assumed)."""


class World(NamedTuple):
    """How far from the plan's own belief the truth lies; every SD is one standard deviation."""

    name: str
    spread_um: float
    """Of vault about the line in one sulcus scan, or in the true sulcus: see ``scan_in_it``."""
    scan_in_it: bool
    tails_dof: float
    """Own errors are Student t with so many degrees of freedom: fewer, heavier tails."""
    wider_sd_mm: float
    """Of true sulcus minus one white-to-white."""
    fellow: float
    """Correlation of the two eyes' own errors; readings' errors are each eye's own."""
    device_sd_mm: float
    """Of the bias of a centre's white-to-white device; half of it of its scanner's."""
    centre_sd_um: float
    """Of what a centre's technique adds."""
    scan_error_mm: float = 0.23
    white_error_mm: float = 0.117


# 176 um: external validation on one scan an eye (925 eyes, BMC Ophthalmol 2022;22:463). 0.28 mm
# wider (273 eyes). 0.7: SCIENCE C5. Devices differ by up to 0.96 mm in the mean, usually by far
# less (81 pairs): 0.2 mm each (assumed); 60 um for technique (assumed, SCIENCE C5).
PUBLISHED = World("as published", 176.0, True, 5.0, 0.28, 0.7, 0.2, 60.0)
# The same 176 um left over where the sulcus were known exactly, and a white-to-white that says as
# little of the sulcus as in the worst series (r2 0.13 to 0.32: 0.5 mm), with heavier tails.
HARDER = World("harder", 176.0, False, 3.5, 0.5, 0.7, 0.3, 100.0)
WORLDS = (PUBLISHED, HARDER)


class Centre(NamedTuple):
    """What is true of a centre and known to nobody there."""

    offset_um: float
    slope_um_per_mm: float
    white_bias_mm: float
    scan_bias_mm: float


class Eye(NamedTuple):
    """What is true of an eye and known to nobody."""

    white_mm: float
    sulcus_mm: float
    rise_mm: float
    own_um: float
    """What this eye adds to every lens's vault."""


def centre(rng: Random, world: World) -> Centre:
    """Return a drawn centre."""
    return Centre(
        rng.gauss(0.0, world.centre_sd_um),
        rng.choice(SLOPES_UM_PER_MM),
        rng.gauss(0.0, world.device_sd_mm),
        rng.gauss(0.0, world.device_sd_mm / 2.0),
    )


def own_sd_um(world: World) -> float:
    """Return the spread of what an eye adds, the rise's share taken out."""
    rise_um = RISE_SLOPE_UM_PER_MM * RISE_SD_MM
    scan_um = MEAN_SLOPE_UM_PER_MM * world.scan_error_mm if world.scan_in_it else 0.0
    return math.sqrt(world.spread_um**2 - scan_um**2 - rise_um**2)


def pair(rng: Random, correlation: float) -> tuple[float, float]:
    """Return two standard normal numbers with a correlation."""
    shared, rest = math.sqrt(correlation), math.sqrt(1.0 - correlation)
    common = rng.gauss(0.0, 1.0)
    return shared * common + rest * rng.gauss(0.0, 1.0), shared * common + rest * rng.gauss(
        0.0, 1.0
    )


def heavy_pair(rng: Random, correlation: float, dof: float) -> tuple[float, float]:
    """Return two numbers of SD 1 from a two-dimensional Student t with a correlation."""
    one, other = pair(rng, correlation)
    stretch = math.sqrt((dof - 2.0) / (2.0 * rng.gammavariate(dof / 2.0, 1.0)))
    return one * stretch, other * stretch


def eyes(rng: Random, world: World) -> tuple[Eye, Eye]:
    """Return the two eyes of a drawn person."""
    wider_sd_mm = math.sqrt(world.wider_sd_mm**2 - world.white_error_mm**2)
    whites, widers = pair(rng, FELLOW_WHITE), pair(rng, world.fellow)
    rises, owns = pair(rng, FELLOW_WHITE), heavy_pair(rng, world.fellow, world.tails_dof)
    made = []
    for white, wider, rise, own in zip(whites, widers, rises, owns, strict=True):
        white_mm = WHITE_MM + WHITE_SD_MM * white
        sulcus_mm = white_mm + WIDER_MM + wider_sd_mm * wider
        made.append(Eye(white_mm, sulcus_mm, RISE_MM + RISE_SD_MM * rise, own_sd_um(world) * own))
    return made[0], made[1]


def vault_um(there: Centre, eye: Eye, length_um: int) -> float:
    """Return the vault at which a lens settles: none below touch."""
    return max(0.0, unbounded_um(there, eye, length_um))


def unbounded_um(there: Centre, eye: Eye, length_um: int) -> float:
    """Return the vault of the line, below zero for a lens that would rest on the natural one."""
    excess_mm = length_um / 1000.0 - eye.sulcus_mm - 0.5
    line_um = MEAN_VAULT_UM + there.offset_um + there.slope_um_per_mm * excess_mm
    return line_um + RISE_SLOPE_UM_PER_MM * (eye.rise_mm - RISE_MM) + eye.own_um


def seen_vault_um(rng: Random, settled_um: float, days: int) -> int:
    """Return what is read some days after surgery, before everything has settled.

    A gap below 10 um is recorded as touch, 0; none is deeper than 2500 um.
    """
    left = math.exp(-days / DRIFT_DAYS)
    drifted = settled_um + left * rng.gauss(DRIFT_UM, DRIFT_SD_UM)
    seen_um = round(rng.gauss(drifted, VAULT_READING_SD_UM))
    return 0 if seen_um < LEAST_SEEN_UM else min(seen_um, MOST_SEEN_UM)


def white_um(rng: Random, world: World, there: Centre, eye: Eye) -> int:
    """Return one white-to-white reading, in steps of 10 um."""
    return tenth(rng.gauss(eye.white_mm + there.white_bias_mm, world.white_error_mm))


def scan_um(rng: Random, world: World, there: Centre, eye: Eye) -> int:
    """Return one sulcus scan, in steps of 10 um."""
    return tenth(rng.gauss(eye.sulcus_mm + there.scan_bias_mm, world.scan_error_mm))


def tenth(mm: float) -> int:
    """Return millimetres as micrometres in steps of 10."""
    return 10 * round(mm * 100.0)
