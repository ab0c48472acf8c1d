"""D28, D30, D32, D36: what only shows once lengths and lenses are calculated."""

from webapp.core.aims import target_vector
from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution, fixed_stop, note, stop
from webapp.core.lens_length import Choice, Option, alike
from webapp.core.lens_words import Lens, lens_text
from webapp.core.optics import at_cornea
from webapp.core.plan.lenses import AtLength, is_available, model_named, power_of
from webapp.core.plan.vault import danger
from webapp.core.rules.chamber import has_little_room
from webapp.core.units import to_step
from webapp.core.wording import dioptres, fixed, in_hundred, micrometres, millimetres

# Below this mean refraction at the cornea the ratio of powers says nothing.
LEAST_REFRACTION_D = 0.5
# A lens this far from the exact one was not chosen by rounding to a step (common practice).
FAR_FROM_EXACT_cD = 50
# This far, a patient would be left with glasses again: the surgeon says why (common practice).
TOO_FAR_FROM_EXACT_cD = 150

INFERRED = " The sulcus is inferred, not seen."
SCAN_FIRST = "Measure the sulcus or the lens rise if it can be done"
SCAN_AGAIN = "Scan the sulcus once more"


def availability(exam: Exam, choice: Lens | None, offered: bool) -> list[Finding]:
    """D28: a lens that is not made is never replaced by another one."""
    if choice is not None and not is_available(exam.reference.models, choice):
        return [fixed_stop(
            "D28.choice", "lens", "Not in the catalogue",
            lens_text(choice) + " is not made; nothing nearby is taken in its place.",
            "Choose a lens of the catalogue.", [],
        )]  # fmt: skip
    if not offered:
        return [fixed_stop(
            "D28.none", "lens", "No lens available",
            "No lens of the catalogue corrects this eye: its power or its length lies outside what"
            " is made.",
            "Check the readings; if they are right, no lens can be ordered.", [],
        )]  # fmt: skip
    return []


def labelled_power(exam: Exam, lens: Lens) -> list[Finding]:
    """D36: the supplier must have said what the labelled power means."""
    model = model_named(exam, lens.model)
    if model is None or model.labelled_power:
        return []
    return [fixed_stop(
        "D36.convention", "lens", "Meaning of the labelled power unknown",
        "The catalogue does not say in which plane and medium " + str(lens.model)
        + " is labelled; that can be 0.1 to 0.3 D.",
        "Ask the supplier and have the catalogue corrected before ordering.", [],
    )]  # fmt: skip


def power_ratio(exam: Exam, found: AtLength) -> list[Finding]:
    """D30: lens power over the corneal refraction to correct is much the same for every eye."""
    vertex_mm = found.eye.vertex_mm
    left = at_cornea(target_vector(exam.aims), vertex_mm, "target")
    corneal_d = at_cornea(found.eye.refraction, vertex_mm).mean_d - left.mean_d
    if abs(corneal_d) < LEAST_REFRACTION_D:
        return []
    ratio_e2 = to_step(100.0 * found.exact.mean_d / corneal_d, 1.0)
    low_e2, high_e2 = exam.limits["power_ratio_low_e2"], exam.limits["power_ratio_high_e2"]
    if low_e2 <= ratio_e2 <= high_e2:
        return []
    return [caution(
        "D30.ratio", "lens", "Unlikely lens power",
        "The lens is " + fixed(ratio_e2, 100, 2) + " times what is corrected at the cornea; "
        + fixed(low_e2, 100, 2) + " to " + fixed(high_e2, 100, 2)
        + " is expected. One of the readings is probably wrong.",
        "Check depth, thickness, keratometry and vertex distance.", [],
    )]  # fmt: skip


def far_choice(found: AtLength, lens: Lens) -> list[Finding]:
    """D30: a chosen lens well away from the one that was calculated."""
    apart_cD = to_step(100.0 * (power_of(lens).mean_d - found.exact.mean_d), 1.0)
    if abs(apart_cD) <= FAR_FROM_EXACT_cD:
        return []
    made = stop if abs(apart_cD) > TOO_FAR_FROM_EXACT_cD else caution
    return [made(
        "D30.choice", "lens", "Lens far from the calculated one",
        "The mean power differs by " + dioptres(apart_cD) + " from the calculated lens, and most of"
        " that would be left to glasses.",
        "Check that this lens is meant.", [],
    )]  # fmt: skip


def vault(exam: Exam, option: Option) -> list[Finding]:
    """D32: the chance of a bad vault with this length."""
    limits = exam.limits
    low_e4, high_e4 = danger(option, limits)
    inside_e4 = to_step(option.p_in * 1e4, 1.0)
    reasons = []
    if inside_e4 < limits["chance_in_window_e4"]:
        reasons.append("only " + in_hundred(inside_e4) + " such eyes would lie in the window")
    if low_e4 > limits["chance_low_e4"]:
        low_um = micrometres(limits["vault_low_um"])
        reasons.append(in_hundred(low_e4) + " would have a vault below " + low_um)
    if high_e4 > limits["chance_high_e4"]:
        high_um = micrometres(limits["vault_high_um"])
        reasons.append(in_hundred(high_e4) + " would have a vault above " + high_um)
    if not reasons:
        return []
    length = millimetres(to_step(option.length_mm * 1000.0, 1.0))
    is_scanned = exam.this.sulcus_to_sulcus is not None
    return [caution(
        "D32.vault", "length", "Vault uncertain",
        "With " + length + ", " + ", ".join(reasons) + "." + ("" if is_scanned else INFERRED),
        (SCAN_AGAIN if is_scanned else SCAN_FIRST) + "; plan a check of the vault soon after"
        " surgery.", [],
    )]  # fmt: skip


def lengths_alike(
    exam: Exam, choice: Choice, offered: Lens | None, with_lens: list[Option]
) -> list[Finding]:
    """D32: two lengths without a clear winner, and which suits an eye with little room.

    Args:
        exam: the eye.
        choice: the best lengths of all.
        offered: the lens recommended, None where there is none.
        with_lens: the lengths for which there is a lens.
    """
    if choice.is_separable:
        return []
    return [note(
        "D32.alike", "length", "Two lengths fit almost alike",
        "No length leads by 5 in 100 or more; the expected harm decides between them."
        + room_words(exam, offered, with_lens),
        "The surgeon chooses.", [],
    )]  # fmt: skip


def room_words(exam: Exam, offered: Lens | None, with_lens: list[Option]) -> str:
    """Return what little room in front of the lens says of lengths that fit alike."""
    if offered is None or not has_little_room(exam):
        return ""
    offered_mm = offered.length_um / 1000.0
    among = alike(with_lens) + [one for one in with_lens if one.length_mm == offered_mm]
    lowest = min([(one.prediction.mean_um, one.length_mm) for one in among])
    lowest_um = to_step(lowest[1] * 1000.0, 1.0)
    if offered.length_um == lowest_um:
        return " The one recommended also has the lower vault, which suits the little room here."
    return (
        " That harm does not count how little room there is: "
        + millimetres(lowest_um)
        + " has the lower vault."
    )


def rise_not_used(exam: Exam, used_um: int | None) -> list[Finding]:
    """A lens rise over the sulcus plane is another quantity than the model's."""
    rise = exam.this.lens_rise
    if rise is None or used_um is not None:
        return []
    records = [one.id for one in exam.this.readings["reading.lens_rise"]]
    return [note(
        "D32.rise", "length", "Lens rise not used",
        "The rise was measured over the sulcus plane; the model knows the rise over the angle.",
        "Measure it over the angle recesses if the device can.", records,
    )]  # fmt: skip
