"""What is measured on an eye: which quantities a plan needs, and how each is called."""

from collections import namedtuple

# need: "needed" for any plan, "either" where one of a group is enough, "optional" where it is asked
# for if the camp can, "further" where it only lets a rule see more.
# again: 1 where an independent second reading is worth asking for.
Quantity = namedtuple("Quantity", ("kind", "word", "need", "again"))

QUANTITIES = (
    Quantity("reading.refraction", "refraction", "needed", 1),
    Quantity("reading.acuity", "corrected acuity", "needed", 0),
    Quantity("reading.keratometry", "keratometry", "needed", 0),
    Quantity("reading.chamber_depth", "chamber depth", "needed", 1),
    Quantity("reading.corneal_thickness", "corneal thickness", "needed", 0),
    Quantity("reading.white_to_white", "white-to-white", "either", 1),
    Quantity("reading.sulcus_to_sulcus", "sulcus-to-sulcus", "optional", 0),
    Quantity("reading.lens_rise", "lens rise", "optional", 0),
    Quantity("reading.endothelial_count", "endothelial count", "needed", 0),
    Quantity("reading.pressure", "pressure", "needed", 0),
    Quantity("reading.pupil", "pupil in dim light", "needed", 0),
    Quantity("reading.angle", "angle", "needed", 0),
    Quantity("reading.cycloplegic_refraction", "cycloplegic refraction", "further", 0),
    Quantity("reading.auto_refraction", "auto-refraction", "further", 0),
    Quantity("reading.earlier_refraction", "earlier refraction", "further", 0),
    Quantity("reading.tomography", "corneal tomography", "further", 0),
    Quantity("reading.endothelial_mosaic", "endothelial cell shapes", "further", 0),
    Quantity("reading.lens_thickness", "lens thickness", "further", 0),
    Quantity("reading.iris_profile", "iris profile", "further", 0),
    Quantity("reading.optic_disc", "optic disc", "further", 0),
)
WORDS: dict[str, str] = {quantity.kind: quantity.word for quantity in QUANTITIES}
# What is read of an eye with a lens in it; no plan of that eye rests on any of it.
AFTER_SURGERY = {
    "followup.vault": "vault",
    "followup.refraction": "refraction after surgery",
    "followup.acuity": "acuity after surgery",
    "followup.pressure": "pressure after surgery",
    "followup.axis_seen": "axis of the lens",
    "followup.endothelial_count": "endothelial count after surgery",
    "followup.angle": "angle after surgery",
    "followup.pupil": "pupil after surgery",
    "followup.lens_clarity": "clarity of the natural lens",
}

SURFACE_WORDS = {"endothelium": "from endothelium", "epithelium": "from epithelium"}
REFERENCE_WORDS = {
    "angle_recess": "over the angle recesses",
    "scleral_spur": "over the scleral spurs",
    "sulcus": "over the sulcus",
}
SOURCE_WORDS = {
    "glasses": "earlier glasses",
    "prescription": "a prescription",
    "record": "a clinic's record",
}
CLARITY_WORDS = {
    "clear": "clear",
    "front_opacity": "clouded at its front",
    "other_opacity": "clouded elsewhere",
}
LIGHT_WORDS = {"mesopic": "in dim light", "photopic": "in bright light", "scotopic": "in the dark"}


def word_of(kind: str) -> str:
    """Return what a quantity is called in the middle of a sentence."""
    word = AFTER_SURGERY.get(kind) or WORDS.get(kind)
    return word or kind.rsplit(".", 1)[-1].replace("_", " ")


def label_of(kind: str) -> str:
    """Return what stands before a value that is there; that of a pupil says its light itself."""
    return "pupil" if kind == "reading.pupil" else word_of(kind)
