"""The working from the readings to the exact lens, by the plan's own calls."""

from webapp.core import lens_power
from webapp.core.aims import target_vector
from webapp.core.describe_values import value_text
from webapp.core.exam import Exam
from webapp.core.lens_power import Eye, reduced_position
from webapp.core.optics import added, at_cornea
from webapp.core.plan.lenses import AtLength
from webapp.core.units import AQUEOUS_INDEX
from webapp.core.wording import refraction, size_in_dioptres
from webapp.core.working.words import (
    DELTA,
    INVERSE,
    LARGE_DELTA,
    PRIME,
    Step,
    components,
    decimal,
    in_mm,
    power,
)

HOLLADAY = (
    "van der Heijde 1988; Holladay 1993, Am J Ophthalmol 116:63 (from memory); as matrices"
    " Langenbucher, Szentmary, Seitz 2007, Ophthalmic Physiol Opt 27:373 (abstract read)."
)
G_OF_X = ("G(X)", "X (I \u2212 " + DELTA + "X)" + INVERSE)


def steps(exam: Exam, found: AtLength, vault_um: float, offset_um: int) -> list[Step]:
    """Return the steps up to the exact lens at one length.

    Args:
        exam: of the eye.
        found: the eye at this length, with its exact lens.
        vault_um: predicted mean vault of this length [um].
        offset_um: of the lens model that the eye was set up with.
    """
    eye = found.eye
    return [
        refraction_used(exam, eye),
        refraction_at_cornea(eye),
        cornea(exam, eye),
        position(exam, eye, vault_um, offset_um),
        requirement(eye),
        exact_lens(exam, eye, found),
    ]


def refraction_used(exam: Exam, eye: Eye) -> Step:
    """Return how several refractions become one."""
    entries = exam.this.readings["reading.refraction"]
    used = exam.this.refraction
    return Step(
        "Refraction used",
        "M = S + C/2, J0 = \u2212(C/2) cos 2A, J45 = \u2212(C/2) sin 2A; mean of the vectors",
        "M equals S plus half C. J zero equals minus half C times cosine two A. J forty-five"
        " equals minus half C times sine two A. Readings are averaged as these three numbers.",
        [("reading " + str(index + 1), value_text(entries[index])) for index in
         range(len(entries))],
        [
            ("F_s", refraction(used.sphere_cD, used.cylinder_cD, used.axis_deg)),
            ("M, J0, J45", components(eye.refraction)),
        ],
        "Thibos, Wheeler, Horner 1997, Optom Vis Sci 74:367 (from memory). One reading is used as"
        " recorded; readings at several vertex distances are moved to the cornea first.",
    )  # fmt: skip


def refraction_at_cornea(eye: Eye) -> Step:
    """Return the step from the glasses to the cornea."""
    note = "Each principal meridian moves on its own; the axis stays. Standard vergence."
    if eye.vertex_mm == 0.0:
        note = "Measured at the cornea, so it is not moved: V is zero."
    return Step(
        "Refraction at the cornea",
        "F_c = F_s (I \u2212 V F_s)" + INVERSE,
        "F c equals F s times, I minus V F s, inverse.",
        [("F_s", power(eye.refraction)), ("V, vertex distance", in_mm(eye.vertex_mm))],
        [("F_c", power(at_cornea(eye.refraction, eye.vertex_mm)))],
        note,
    )


def cornea(exam: Exam, eye: Eye) -> Step:
    """Return how the keratometry becomes a matrix, with the planned change of it."""
    used = exam.this.cornea
    entries = exam.this.readings["reading.keratometry"]
    inputs = [("reading " + str(index + 1), value_text(entries[index])) for index in
              range(len(entries))]  # fmt: skip
    gives = [
        ("flat", size_in_dioptres(used.flat_cD)),
        ("steep", size_in_dioptres(used.steep_cD)),
        ("steep meridian", str(used.steep_meridian_deg) + "\u00b0"),
        ("K", power(eye.cornea)),
    ]
    formula, spoken = (
        "K = flat + (steep \u2212 flat), plus cylinder at steep + 90\u00b0",
        (
            "K equals flat, plus the difference of steep and flat as a plus cylinder with its axis"
            " at right angles to the steep meridian."
        ),
    )
    if exam.aims.change is not None:
        formula += "; K" + PRIME + " = K + " + LARGE_DELTA + "K"
        spoken += " K prime equals K plus the planned change of the cornea."
        inputs.append(("planned flattening", size_in_dioptres(exam.aims.change.flattening_cD)))
        inputs.append(("at meridian", str(exam.aims.change.meridian_deg) + "\u00b0"))
        gives.append(("K" + PRIME, power(added(eye.cornea, eye.cornea_change))))
    return Step(
        "Cornea as a matrix", formula, spoken, inputs, gives,
        "Keratometer reading: 337.5 over the radius in mm (index 1.3375). Written here as sphere"
        " and minus cylinder.",
    )  # fmt: skip


def position(exam: Exam, eye: Eye, vault_um: float, offset_um: int) -> Step:
    """Return where the lens sits."""
    depth, thickness_um = exam.this.depth, exam.this.thickness_um
    inputs = [
        ("depth, from " + str(depth.tag), in_mm(depth.value_um / 1000.0)),
        ("cornea", in_mm(thickness_um / 1000.0)),
        ("vault, predicted", in_mm(vault_um / 1000.0)),
        ("offset of the model", in_mm(offset_um / 1000.0)),
    ]
    formula, spoken = (
        "d = depth + cornea \u2212 vault \u2212 offset",
        ("d equals depth plus corneal thickness minus vault minus offset."),
    )
    if depth.tag == "epithelium":
        formula = "d = depth \u2212 vault \u2212 offset"
        spoken = "d equals depth minus vault minus offset."
    return Step(
        "Where the lens will sit", formula, spoken, inputs, [("d", in_mm(eye.position_mm))],
        "Counted from the front of the cornea. A forgotten corneal thickness would leave 0.1 to"
        " 0.5 D (calculated).",
    )  # fmt: skip


def requirement(eye: Eye) -> Step:
    """Return the vergence that must reach the lens plane."""
    return Step(
        "What the eye needs at the lens",
        "Q = G(K + F_c)",
        "Q equals G of, K plus F c. G of X equals X times, I minus delta X, inverse.",
        [
            ("K", power(eye.cornea)),
            ("F_c", power(at_cornea(eye.refraction, eye.vertex_mm))),
            G_OF_X,
            (DELTA + " = d / " + decimal(AQUEOUS_INDEX, 3),
             in_mm(1000.0 * reduced_position(eye.position_mm))),
        ],
        [("Q", power(lens_power.vergence_needed(eye)))],
        HOLLADAY,
    )  # fmt: skip


def exact_lens(exam: Exam, eye: Eye, found: AtLength) -> Step:
    """Return the exact lens."""
    target = target_vector(exam.aims)
    supplied = lens_power.vergence_supplied(eye, target)
    return Step(
        "Lens wanted, exactly",
        "P = Q \u2212 G(K" + PRIME + " + T_c)",
        "P equals Q minus G of, K prime plus T c, where T c is the target at the cornea.",
        [
            ("Q", power(lens_power.vergence_needed(eye))),
            ("T, target", power(target)),
            ("G(K" + PRIME + " + T_c)", power(supplied)),
        ],
        [("P", power(found.exact))],
        HOLLADAY,
    )
