"""D16: repeated readings that scatter, and readings of two devices for one quantity.

The spread of two or more readings is their standard deviation, compared in whole numbers:
n (sum of squares) - (sum)^2 against n (n - 1) limit^2.
"""

from collections import namedtuple

from webapp.core.entry import Entry
from webapp.core.exam import Exam, Eye
from webapp.core.finding import Finding, caution, fixed_stop
from webapp.core.measured import word_of
from webapp.core.optics import blur, subtracted
from webapp.core.used import cornea_of, corneal_vector_of, devices_of, is_placed, mean_vector
from webapp.core.wording import capital, fixed, micrometres, millimetres, pressure, size_in_dioptres

# limit: name of the spread limit. settle: 1 where two devices leave nothing to plan with.
Repeat = namedtuple("Repeat", ("kind", "field", "limit", "settle"))
REPEATS = (
    Repeat("reading.chamber_depth", "depth_um", "repeat_depth_um", 1),
    Repeat("reading.corneal_thickness", "thickness_um", "repeat_thickness_um", 1),
    Repeat("reading.white_to_white", "diameter_um", "repeat_diameter_um", 1),
    Repeat("reading.sulcus_to_sulcus", "diameter_um", "repeat_sulcus_um", 1),
    Repeat("reading.lens_rise", "rise_um", "repeat_rise_um", 1),
    Repeat("reading.pressure", "iop_dmmHg", "repeat_pressure_dmmHg", 0),
    Repeat("reading.endothelial_count", "ecd_pmm2", "repeat_cells_percent", 0),
    Repeat("reading.keratometry", None, "repeat_cornea_cD", 1),
    Repeat("reading.refraction", None, "repeat_refraction_cD", 0),
)
BY_KIND = {repeat.kind: repeat for repeat in REPEATS}


def findings(exam: Exam) -> list[Finding]:
    """Return findings about repeats of every quantity of this eye."""
    found = []
    for repeat in REPEATS:
        entries = exam.this.readings[repeat.kind]
        found += scatter(exam, repeat, entries) + devices(repeat, entries)
    return found


def series(repeat: Repeat, entries: list[Entry]) -> list[list[int]]:
    """Return the lists of integers whose spread is judged: one, or flat and steep apart."""
    if repeat.field is not None:
        return [[one.body[repeat.field] for one in entries]]
    corneas = [cornea_of(one) for one in entries]
    whole = [cornea for cornea in corneas if cornea is not None]
    return [[cornea.flat_cD for cornea in whole], [cornea.steep_cD for cornea in whole]]


def is_wide(values: list[int], limit: int, percent: bool) -> bool:
    """Return whether the standard deviation exceeds the limit, or that percentage of the mean."""
    count, total, squares = len(values), 0, 0
    for value in values:
        total += value
        squares += value * value
    scatter_n2 = count * squares - total * total
    if percent:
        # SD > limit % of the mean, all multiplied out: 100^2 n^2 SD^2 > limit^2 total^2.
        return 10000 * count * scatter_n2 > (count - 1) * limit * limit * total * total
    return scatter_n2 > count * (count - 1) * limit * limit


def is_apart(eye: Eye, limits: dict[str, int], kind: str) -> bool:
    """Return whether the repeats of a quantity scatter more than their limit."""
    repeat, entries = BY_KIND.get(kind), eye.readings[kind]
    if repeat is None or len(entries) < 2:
        return False
    if len({one.body.get("surface") for one in entries}) > 1:
        return False  # Depths from two surfaces differ by the thickness; D04 speaks for them.
    limit = limits[repeat.limit]
    if kind == "reading.refraction":
        return refraction_spread_cD2(entries) > float(limit * limit)
    percent = repeat.limit.endswith("_percent")
    return any(
        len(values) > 1 and is_wide(values, limit, percent) for values in series(repeat, entries)
    )


def refraction_spread_cD2(entries: list[Entry]) -> float:
    """Return the variance [cD^2] of refractions about their mean vector, as blur strength.

    An axis is never averaged or compared by itself.
    """
    vectors = [corneal_vector_of(one) for one in entries if is_placed(one)]
    if len(vectors) < 2:
        return 0.0
    mean = mean_vector(vectors)
    total = 0.0
    for vector in vectors:
        away_cD = 100.0 * blur(subtracted(vector, mean))
        total += away_cD * away_cD
    return total / (len(vectors) - 1)


def scatter(exam: Exam, repeat: Repeat, entries: list[Entry]) -> list[Finding]:
    """D16: readings of one quantity that do not agree."""
    if not is_apart(exam.this, exam.limits, repeat.kind):
        return []
    word = word_of(repeat.kind)
    return [caution(
        "D16." + repeat.kind.split(".")[1], "repeats", capital(word) + ": readings disagree",
        spread_text(repeat.kind, entries) + ". Their mean is no better than the worst of them.",
        "Measure once more before trusting any of them; withdraw one that was a slip.",
        [one.id for one in entries],
    )]  # fmt: skip


def spread_text(kind: str, entries: list[Entry]) -> str:
    """Return how far apart readings are: "2 readings, apart by 0.31 mm", or "in agreement"."""
    count = str(len(entries)) + " readings, "
    if kind == "reading.refraction":
        placed = [corneal_vector_of(one) for one in entries if is_placed(one)]
        widest = 0.0
        for one in placed:
            for other in placed:
                widest = max(widest, blur(subtracted(one, other)))
        size_cd = int(100.0 * widest + 0.5)
        return count + apart(size_cd, size_in_dioptres(size_cd) + " blur strength")
    repeat = BY_KIND.get(kind)
    if repeat is None:
        return str(len(entries)) + " readings"
    spans = [max(values) - min(values) for values in series(repeat, entries) if values]
    if not spans:
        return count + "not comparable"
    return count + apart(max(spans), amount(kind, max(spans)))


def apart(size: int, text: str) -> str:
    """Return a difference in words; none at the last digit shown is agreement."""
    return "apart by " + text if size > 0 else "in agreement"


def amount(kind: str, size: int) -> str:
    """Return a difference between readings of one quantity, with its unit."""
    if kind == "reading.corneal_thickness":
        return micrometres(size)
    if kind == "reading.keratometry":
        return size_in_dioptres(size)
    if kind == "reading.pressure":
        return pressure(size)
    if kind == "reading.endothelial_count":
        return fixed(size, 1, 0) + " cells/mm\u00b2"
    return millimetres(size)


def devices(repeat: Repeat, entries: list[Entry]) -> list[Finding]:
    """D16: two devices for one quantity are never averaged, and no clock chooses between them."""
    if repeat.kind == "reading.refraction" or len(devices_of(entries)) < 2:
        return []
    word, code = word_of(repeat.kind), "D16.devices." + repeat.kind.split(".")[1]
    names = ", ".join(sorted({str(one.body["device"]) for one in entries}))
    text = capital(word) + " comes from different devices (" + names + "), which do not agree"
    records = [one.id for one in entries]
    if not repeat.settle:
        return [caution(
            code, "repeats", capital(word) + ": two devices",
            text + " among each other. The worse value is judged.",
            "Stay with one device.", records,
        )]  # fmt: skip
    return [fixed_stop(
        code, "repeats", capital(word) + ": two devices",
        text + " well enough to be averaged. Nothing is planned from a mixture.",
        "Keep one device and withdraw the readings of the other.", records,
    )]  # fmt: skip
