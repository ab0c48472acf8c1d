"""D33: a bowed iris in front of a thick lens makes the vault hard to foretell."""

from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution
from webapp.core.wording import millimetres


def findings(exam: Exam) -> list[Finding]:
    """Return the caution for a bowed iris with a thick natural lens; both must be known."""
    profiles = exam.this.readings["reading.iris_profile"]
    lenses = exam.this.readings["reading.lens_thickness"]
    bowed = sorted({one.body["profile"] for one in profiles if one.body["profile"] != "flat"})
    if not bowed or not lenses:
        return []
    thickest_um = max([one.body["thickness_um"] for one in lenses])
    most_um = exam.limits["thick_lens_um"]
    if thickest_um <= most_um:
        return []
    return [caution(
        "D33.bowed", "length", "Iris and lens press on the vault",
        "The iris is " + " and ".join(bowed) + " and the natural lens measures "
        + millimetres(thickest_um) + " (above " + millimetres(most_um)
        + "). Vaults were far lower than foretold with a concave, far higher with a convex iris.",
        "Measure the lens rise; plan a check of the vault soon after surgery.",
        [one.id for one in profiles + lenses],
    )]  # fmt: skip
