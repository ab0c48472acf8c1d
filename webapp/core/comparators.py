"""Published equations for vault or length, by name, for comparison only: no plan uses one.

On one eye (lens 12.6, horizontal sulcus 12.13, vertical 12.5, natural lens 3.7, angles 11.8 mm)
the first three give 108, 451 and 615 um: each intercept belongs to the devices and lenses of its
own series. So they are shown only beside the working, where all of their inputs were measured.
"""

from collections import namedtuple

from webapp.core.exam import Exam
from webapp.core.units import to_step
from webapp.core.wording import micrometres
from webapp.core.working.words import decimal, in_mm

# gives: "vault" [um] or "length" [mm], constant + sum of coefficient x input [mm].
Comparator = namedtuple(
    "Comparator", ("name", "gives", "constant", "terms", "formula", "n", "fit", "source")
)

TITLE = (
    "Published equations, for comparison; they disagree by 500 \u00b5m on one eye and are used"
    " nowhere"
)

COMPARATORS = (
    Comparator(
        "Regression of 2021", "vault", -1369.05,
        (("L", 657.121), ("hSTS", -287.408), ("LT", -432.497), ("vSTS", -137.33)),
        "v = \u22121369.05 + 657.121 L \u2212 287.408 hSTS \u2212 432.497 LT \u2212 137.33 vSTS",
        "83 eyes", "adjusted R\u00b2 0.643",
        "BMC Ophthalmol 2021, 10.1186/s12886-021-01963-x (abstract read)",
    ),
    Comparator(
        "Regression of 2026", "vault", -2286.216, (("hSTS", -164.416), ("L", 375.487)),
        "v = \u22122286.216 \u2212 164.416 hSTS + 375.487 L",
        "72 eyes of 44 people", "adjusted R\u00b2 0.657",
        "Zhu, Front Med 2026, 10.3389/fmed.2026.1762551 (abstract read; perhaps cut)",
    ),
    Comparator(
        "Angle regression of 2019", "vault", 86.6, (("L", 660.9), ("ATA", -660.9)),
        "v = 660.9 (L \u2212 ATA) + 86.6",
        "number of eyes not known", "R\u00b2 about 0.41, doubtful",
        "Igarashi 2019, J Cataract Refract Surg 45:1099 (from memory)",
    ),
    Comparator(
        "Spur regression of 2018", "length", 4.20, (("ACW", 0.719), ("CLR", 0.655)),
        "L = 4.20 + 0.719 ACW + 0.655 CLR",
        "about 35 eyes", "fit not known",
        "Nakamura 2018, Am J Ophthalmol 187:99 (from memory)",
    ),
    Comparator(
        "Sulcus regression of 2012", "length", 3.75,
        (("hSTS", 0.46), ("ACD", 0.95), ("STSL", 1.25)),
        "L = 3.75 + 0.46 hSTS + 0.95 ACD + 1.25 STSL",
        "about 81 eyes", "fit not known",
        "Kojima 2012, Am J Ophthalmol 153:632 (from memory)",
    ),
)  # fmt: skip


def value(comparator: Comparator, inputs: dict[str, float]) -> float:
    """Return what an equation gives, um of vault or mm of length. Inputs in mm by their names."""
    total: float = comparator.constant
    for name, coefficient in comparator.terms:
        total += coefficient * inputs[name]
    return total


def measured(exam: Exam, length_um: int) -> dict[str, float]:
    """Return those inputs [mm] that this eye has, and the length in view.

    Nothing stands in for another: a rise over the angle is no rise over the sulcus, and one
    horizontal diameter says nothing of the vertical one. ACD is counted from the endothelium.
    """
    this = exam.this
    found = {"L": length_um / 1000.0}
    if this.sulcus_to_sulcus is not None:
        found["hSTS"] = this.sulcus_to_sulcus.value_um / 1000.0
    if this.endothelial_depth_um is not None:
        found["ACD"] = this.endothelial_depth_um / 1000.0
    if this.lens_rise is not None:
        name = {"sulcus": "STSL", "scleral_spur": "CLR"}.get(this.lens_rise.tag)
        if name is not None:
            found[name] = this.lens_rise.value_um / 1000.0
    return found


def lines(exam: Exam, length_um: int) -> list[dict[str, object]]:
    """Return each equation whose inputs were all measured, with what it gives for this eye."""
    inputs = measured(exam, length_um)
    return [
        line(one, inputs)
        for one in COMPARATORS
        if not [name for name, _ in one.terms if name not in inputs]
    ]


def line(one: Comparator, inputs: dict[str, float]) -> dict[str, object]:
    """Return one equation as it crosses the door."""
    result = value(one, inputs)
    if one.gives == "vault":
        gives = "vault " + micrometres(to_step(result, 1.0))
    else:
        gives = "length " + decimal(result, 2) + " mm"
    return {
        "name": one.name,
        "gives": gives,
        "formula": one.formula,
        "inputs": [{"name": name, "text": in_mm(inputs[name])} for name, _ in one.terms],
        "about": one.n + ", " + one.fit + ". " + one.source,
    }
