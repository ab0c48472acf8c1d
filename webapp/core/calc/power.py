"""Calculations that a reader may ask for by name: refractions and lens powers."""

from collections import namedtuple

from webapp.core import astigmatism, lens_power, optics, rotation
from webapp.core.calc.fields import (
    CHAMBER,
    INCISION,
    KERATOMETRY,
    LENS,
    POSITION,
    REFRACTION,
    VAULT,
    VERTEX,
    answered,
    spoken,
)
from webapp.core.fields import Calculation, Field, Group, Number
from webapp.core.lens_power import Eye
from webapp.core.optics import PLANO, PowerVector

PREOPERATIVE = Field("refraction", REFRACTION, True, "Refraction at the spectacle plane.")
OBSERVED = Field("observed", REFRACTION, True, "Refraction measured with the lens in the eye.")
AT_VERTEX = Field("vertex_mm", VERTEX, True, "Distance of that plane in front of the cornea.")
CORNEA = Field("keratometry", KERATOMETRY, True, "Corneal readings, index 1.3375.")
DEPTH = Field("anterior_chamber", CHAMBER, True, "Chamber depth with the surface it starts from.")
EXPECTED_VAULT = Field("vault_um", VAULT, True, "Vault expected behind the lens.")
TARGET = Field("target", REFRACTION, False, "Refraction wanted; plano if left out.")
LENS_IN_PLACE = Field("lens", LENS, True, "The lens as it lies, power in the aqueous.")
LIES_AT = Field("lens_position_mm", POSITION, True, "Corneal vertex to lens.")
PLANNED_CHANGE = Field("surgical_change", INCISION, False, "Corneal change planned; none if out.")
OFFSET = Field(
    "lens_offset_mm",
    Number(-0.5, 0.5, "mm"),
    False,
    "How far in front of its back surface the lens acts; 0 if left out.",
)

VectorInput = namedtuple("VectorInput", ("refraction",))
VertexInput = namedtuple("VertexInput", ("refraction", "from_mm", "to_mm"))
EYE_FIELDS = (PREOPERATIVE, AT_VERTEX, CORNEA, DEPTH, EXPECTED_VAULT, PLANNED_CHANGE, OFFSET)
EyeInput = namedtuple(
    "EyeInput",
    ("refraction", "vertex_mm", "cornea", "depth_mm", "vault_um", "incision", "offset_mm"),
)
PowerInput = namedtuple("PowerInput", ("eye", "target"))
PredictionInput = namedtuple("PredictionInput", ("eye", "lens", "turned_deg"))
TurnInput = namedtuple(
    "TurnInput", ("observed", "lens", "cornea", "vertex_mm", "position_mm", "target")
)
NakedInput = namedtuple("NakedInput", ("observed", "lens", "cornea", "vertex_mm", "position_mm"))
ChangeInput = namedtuple("ChangeInput", ("before", "after", "vertex_mm", "target"))


def power_vector(given: VectorInput) -> dict[str, object]:
    """Return a refraction in all its forms."""
    vector = given.refraction
    minus = optics.refraction_of(vector)
    return {
        "M_D": vector.mean_d,
        "J0_D": vector.j0_d,
        "J45_D": vector.j45_d,
        "minus_cylinder": spoken(minus),
        "plus_cylinder": spoken(optics.transposed(minus)),
        "matrix_D": {
            "f11": vector.mean_d + vector.j0_d,
            "f12": vector.j45_d,
            "f22": vector.mean_d - vector.j0_d,
        },
    }


def vertex(given: VertexInput) -> dict[str, object]:
    """Return a refraction at another distance from the cornea."""
    nearer_m = (given.from_mm - given.to_mm) / 1000.0
    return {"refraction": answered(optics.moved(given.refraction, nearer_m))}


def eye_of(given: EyeInput) -> Eye:
    """Return the eye that a lens is calculated for."""
    incision = given.incision
    change = (
        PLANO
        if incision is None
        else lens_power.corneal_change(incision.flattening_d, incision.meridian_deg)
    )
    offset_mm = 0.0 if given.offset_mm is None else given.offset_mm
    position_mm = lens_power.lens_position(given.depth_mm, given.vault_um, offset_mm)
    return Eye(given.refraction, given.vertex_mm, given.cornea, change, position_mm)


def power_input(*values: object) -> PowerInput:
    """Return the values of the eye's fields as an eye, and the target after them."""
    eye_values = values[: len(EYE_FIELDS)]
    return PowerInput(eye_of(EyeInput(*eye_values)), *values[len(EYE_FIELDS) :])


def prediction_input(*values: object) -> PredictionInput:
    """Return the values of the eye's fields as an eye, and the lens and its turn after them."""
    eye_values = values[: len(EYE_FIELDS)]
    return PredictionInput(eye_of(EyeInput(*eye_values)), *values[len(EYE_FIELDS) :])


def or_plano(target: PowerVector | None) -> PowerVector:
    """Return the target, plano where none was given."""
    return PLANO if target is None else target


def exact_lens(given: PowerInput) -> dict[str, object]:
    """Return the exact lens for a target and what its effect depends on."""
    eye = given.eye
    lens = lens_power.lens_for(eye, or_plano(given.target))
    moves = lens_power.sensitivity(eye, lens)
    return {
        "lens": answered(lens),
        "lens_position_mm": eye.position_mm,
        "sensitivity": {
            "lens_D": moves.lens_d,
            "refraction_D": moves.refraction_d,
            "vault_100um": moves.vault_100um,
            "vertex_mm": moves.vertex_mm,
            "keratometry_D": moves.keratometry_d,
        },
    }


def predicted_refraction(given: PredictionInput) -> dict[str, object]:
    """Return the spectacle refraction that a lens leaves, perhaps turned from its axis."""
    lens = given.lens if given.turned_deg is None else optics.turned(given.lens, given.turned_deg)
    predicted = lens_power.refraction_with(given.eye, lens)
    return {"refraction": answered(predicted), "M_D": predicted.mean_d}


def operated_eye(given: TurnInput) -> Eye:
    """Return an eye with its lens in place; its own refraction is not known."""
    return Eye(PLANO, given.vertex_mm, given.cornea, PLANO, given.position_mm)


def re_rotation(given: TurnInput) -> dict[str, object]:
    """Return the turn of a lens in place that leaves the least cylinder."""
    turn = rotation.best_turn(
        operated_eye(given), given.observed, given.lens, or_plano(given.target)
    )
    return {
        "turn_deg": turn.turn_deg,
        "axis_deg": turn.axis_deg,
        "refraction": answered(turn.refraction),
        "gain_D": turn.gain_d,
    }


def naked_refraction(given: TurnInput) -> dict[str, object]:
    """Return what the eye would read without its lens."""
    naked = rotation.naked_refraction(operated_eye(given), given.observed, given.lens)
    return {"refraction": answered(naked)}


def astigmatism_change(given: ChangeInput) -> dict[str, object]:
    """Return intended and achieved change of astigmatism at the cornea."""
    found = astigmatism.change(given.before, given.after, or_plano(given.target), given.vertex_mm)
    return {
        "target_D": found.target_d,
        "achieved_D": found.achieved_d,
        "difference_D": found.difference_d,
        "correction_index": found.correction_index,
        "magnitude_error_D": found.magnitude_error_d,
        "angle_error_deg": found.angle_error_deg,
    }


CALCULATIONS = (
    Calculation(
        "power-vector",
        "A refraction as a power vector, a matrix, and in both cylinder forms.",
        Group(VectorInput, (Field("refraction", REFRACTION, True, "Refraction, any plane."),)),
        power_vector,
    ),
    Calculation(
        "vertex",
        "A refraction moved to another distance in front of the cornea.",
        Group(
            VertexInput,
            (
                Field("refraction", REFRACTION, True, "Refraction at from_mm."),
                Field("from_mm", Number(0.0, 20.0, "mm"), True, "Where it is; 0 is the cornea."),
                Field("to_mm", Number(0.0, 20.0, "mm"), True, "Where it is wanted."),
            ),
        ),
        vertex,
    ),
    Calculation(
        "lens-power",
        "The exact lens for a target, and how its effect answers to each input.",
        Group(power_input, EYE_FIELDS + (TARGET,)),
        exact_lens,
    ),
    Calculation(
        "predicted-refraction",
        "The spectacle refraction that a given lens leaves.",
        Group(
            prediction_input,
            EYE_FIELDS
            + (
                Field("lens", LENS, True, "The lens as ordered, power in the aqueous."),
                Field(
                    "turned_deg",
                    Number(-180.0, 180.0, "deg"),
                    False,
                    "Turn from that axis, counter-clockwise facing the patient; 0 if left out.",
                ),
            ),
        ),
        predicted_refraction,
    ),
    Calculation(
        "re-rotation",
        "The turn of a toric lens in place that leaves the least cylinder.",
        Group(TurnInput, (OBSERVED, LENS_IN_PLACE, CORNEA, AT_VERTEX, LIES_AT, TARGET)),
        re_rotation,
    ),
    Calculation(
        "naked-refraction",
        "What an eye with a lens in place would read without it.",
        Group(NakedInput, (OBSERVED, LENS_IN_PLACE, CORNEA, AT_VERTEX, LIES_AT)),
        naked_refraction,
    ),
    Calculation(
        "astigmatism-change",
        "Intended and achieved change of astigmatism, at the corneal plane.",
        Group(
            ChangeInput,
            (
                Field("before", REFRACTION, True, "Spectacle refraction before."),
                Field("after", REFRACTION, True, "Spectacle refraction after."),
                AT_VERTEX,
                TARGET,
            ),
        ),
        astigmatism_change,
    ),
)
