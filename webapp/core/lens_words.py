"""A lens in words: short for lists, and as the sentence that is read back before approval."""

from collections import namedtuple

from webapp.core.errors import BadInput
from webapp.core.wording import EYE_WORDS, millimetres, refraction, spoken

# One lens that can be ordered; minus cylinder, axis None without one.
LENS_FIELDS = ("model", "sphere_cD", "cylinder_cD", "axis_deg", "length_um")
Lens = namedtuple("Lens", ("model", "sphere_cD", "cylinder_cD", "axis_deg", "length_um"))
NUMBERS = ("sphere_cD", "cylinder_cD", "length_um")


def lens_of(value: object) -> Lens:
    """Return a lens that came through the door. Raises: BadInput when a part is not usable."""
    if not isinstance(value, dict) or any(name not in value for name in LENS_FIELDS):
        raise BadInput("choice", "a lens needs a model, sphere, cylinder, axis and length")
    wrong = [name for name in NUMBERS if not isinstance(value[name], int)]
    if wrong or not isinstance(value["model"], str):
        raise BadInput("choice", "a lens has a name for its model and whole numbers for the rest")
    axis_deg = value["axis_deg"]
    if (axis_deg is None) != (value["cylinder_cD"] == 0):
        raise BadInput("choice", "a lens has an axis exactly when it has a cylinder")
    if axis_deg is not None and not isinstance(axis_deg, int):
        raise BadInput("choice", "a lens axis is a whole number of degrees")
    return Lens(*[value[name] for name in LENS_FIELDS])


def as_json(lens: Lens) -> dict[str, object]:
    """Return a lens as it crosses the door."""
    return {
        "model": lens.model,
        "sphere_cD": lens.sphere_cD,
        "cylinder_cD": lens.cylinder_cD,
        "axis_deg": lens.axis_deg,
        "length_um": lens.length_um,
    }


def lens_text(lens: Lens) -> str:
    """Return a lens for a list: "Model A-t −9.75 −2.50 ×15 D, 12.50 mm"."""
    power = refraction(lens.sphere_cD, lens.cylinder_cD, lens.axis_deg)
    return str(lens.model) + " " + power + ", " + millimetres(lens.length_um)


def read_back(eye: str, lens: Lens) -> str:
    """Return the sentence read back before approval, with eye, signs and units in words."""
    words = [EYE_WORDS[eye] + ": sphere " + spoken(lens.sphere_cD)]
    if lens.cylinder_cD != 0:
        at_axis = " at axis " + str(lens.axis_deg)
        words.append("cylinder " + spoken(lens.cylinder_cD) + at_axis)
    else:
        words.append("no cylinder")
    words.append("length " + millimetres(lens.length_um))
    words.append(str(lens.model))
    return ", ".join(words) + "."
