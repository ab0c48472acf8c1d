"""What to measure next, in words: at most three readings that are worth the person's time.

Nothing is said where nothing helps. "Not worth repeating" is said only of what was already
repeated and agrees, because a second reading also guards against a slip, which no model counts.
"""

from collections import namedtuple

from webapp.core import adopted_models
from webapp.core.exam import Exam
from webapp.core.lens_length import Option
from webapp.core.measured import word_of
from webapp.core.plan import measure_next
from webapp.core.plan import vault as plan_vault
from webapp.core.plan.fellow_outcome import outcome, shift_of
from webapp.core.plan.refraction_doubt import budget, half_width, vault_sd
from webapp.core.rules.repeats import is_apart
from webapp.core.units import to_step
from webapp.core.vault import Model
from webapp.core.wording import capital, fixed, in_hundred

# A line must promise this much: 2 in 100 eyes more in the window, or 0.05 D less doubt (95 %).
# Less than that is lost among steps of lenses and lengths (common practice).
WORTH_e4, WORTH_cD = 200, 5
MOST_LINES = 3

ORDINALS = ("first", "second", "third", "fourth", "fifth")
WORDS = {
    "reading.white_to_white": "white-to-white",
    "reading.sulcus_to_sulcus": "sulcus scan",
    "reading.lens_rise": "lens rise over the angle",
    "reading.refraction": "refraction",
}
ABOUT_WINDOW = "chance that the best length lands in the window"
ABOUT_REFRACTION = "doubt in the final refraction, 95 in 100"

# The lens that a plan is about: what its length promises, the eye with its position, its power [D].
InView = namedtuple("InView", ("option", "eye", "power"))
# readings: how many there are; now and expected: e4 of a chance, or cD of a half width.
Gain = namedtuple("Gain", ("kind", "readings", "unit", "now", "expected"))


def advice(exam: Exam, options: list[Option], in_view: InView | None) -> dict[str, object]:
    """Return what to measure next.

    Args:
        exam: of one eye.
        options: what each length promises; none while anything is missing.
        in_view: the lens that the plan is about, None without one.
    """
    gains = window_gains(exam, options) if options else []
    if in_view is not None:
        gains.append(refraction_gain(exam, in_view))
    worth = [one for one in gains if share(one) >= 1.0]
    worth = sorted(worth, key=lambda one: (-share(one), one.kind))[:MOST_LINES]
    return {
        "lines": [line(one) for one in worth],
        "not_worth": not_worth(exam, gains) if worth else "",
    }


def share(gain: Gain) -> float:
    """Return how many times a gain is what a line must promise."""
    if gain.unit == "e4":
        return float(gain.expected - gain.now) / WORTH_e4
    return float(gain.now - gain.expected) / WORTH_cD


def window_gains(exam: Exam, options: list[Option]) -> list[Gain]:
    """Return what each reading about size would do for the best length's chance."""
    known = what_is_known(exam, options)
    if known is None:
        return []
    now_e4 = max([chance_e4(one) for one in options])
    again, has_rise = "reading." + known.kind, known.rise_mm is not None
    shift = shift_of(exam, outcome(exam))
    model = adopted(exam, known.kind, has_rise)
    after = measure_next.chance_after_repeat(known, model, shift)
    found = [(again, known.diameter_readings, after)]
    if known.kind == "white_to_white":
        model = adopted(exam, "sulcus_to_sulcus", has_rise)
        found.append(
            ("reading.sulcus_to_sulcus", 0, measure_next.chance_after_sulcus(known, model))
        )
    if not exam.this.readings["reading.lens_rise"]:
        model = adopted(exam, known.kind, True)
        found.append(("reading.lens_rise", 0, measure_next.chance_after_rise(known, model)))
    return [
        Gain(kind, count, "e4", now_e4, to_step(after * 1e4, 1.0)) for kind, count, after in found
    ]


def adopted(exam: Exam, kind: str, has_rise: bool) -> Model | None:
    """Return the adopted model that a plan would use for a diameter of this kind, or None.

    The device of a scan that was not taken yet is not known.
    """
    found = plan_vault.diameter(exam.this)
    device = found[1].device if found is not None and found[0] == kind else None
    model = adopted_models.chosen(exam.reference.vault_models, kind, device, has_rise)
    return None if model is None else model.model


def what_is_known(exam: Exam, options: list[Option]) -> measure_next.Known | None:
    """Return what the vault of this eye is predicted from, None without a settled diameter."""
    diameter = plan_vault.diameter(exam.this)
    if diameter is None:
        return None
    kind, used = diameter
    rise_um = plan_vault.lens_rise_um(exam.this)
    return measure_next.Known(
        [one.length_mm for one in options],
        plan_vault.window_of(exam),
        kind,
        used.value_um / 1000.0,
        plan_vault.count(exam.this, kind),
        None if rise_um is None else rise_um / 1000.0,
    )


def chance_e4(choice: Option) -> int:
    """Return the chance of a vault in the window exactly as the plan shows it."""
    return 10000 - to_step(choice.p_low * 1e4, 1.0) - to_step(choice.p_high * 1e4, 1.0)


def refraction_gain(exam: Exam, in_view: InView) -> Gain:
    """Return what one more refraction would do for the doubt in the final one."""
    count = len(exam.this.readings["reading.refraction"])
    shares = budget(in_view.eye, in_view.power, vault_sd(in_view.option.prediction))
    now_cD, after_cD = [
        to_step(100.0 * half_width(shares, readings), 1.0) for readings in (count, count + 1)
    ]
    return Gain("reading.refraction", count, "cD", now_cD, after_cD)


def line(gain: Gain) -> dict[str, object]:
    """Return one line as it crosses the door; the numbers of the other unit are null."""
    in_window = gain.unit == "e4"
    answer: dict[str, object] = {"kind": gain.kind, "readings": gain.readings}
    for unit in ("e4", "cD"):
        mine = unit == gain.unit
        answer["now_" + unit] = gain.now if mine else None
        answer["expected_" + unit] = gain.expected if mine else None
        answer["gain_" + unit] = abs(gain.expected - gain.now) if mine else None
    answer["what"] = what(gain)
    answer["about"] = ABOUT_WINDOW if in_window else ABOUT_REFRACTION
    answer["text"] = what(gain) + ": " + amounts(gain) + " after it."
    return answer


def what(gain: Gain) -> str:
    """Return the reading that is meant: "Sulcus scan" or "Refraction, third time"."""
    name = capital(WORDS[gain.kind])
    if gain.readings == 0:
        return name
    if gain.readings < len(ORDINALS):
        return name + ", " + ORDINALS[gain.readings] + " time"
    return name + " once more"


def amounts(gain: Gain) -> str:
    """Return the two amounts: "67 in 100 now, about 72 in 100"."""
    if gain.unit == "e4":
        return in_hundred(gain.now) + " now, about " + in_hundred(gain.expected)
    now, after = ["\u00b1" + fixed(value, 100, 2) + " D" for value in (gain.now, gain.expected)]
    return now + " now, about " + after


def not_worth(exam: Exam, gains: list[Gain]) -> str:
    """Return in a sentence what was repeated already and would change little if repeated again."""
    names = [
        word_of(one.kind)
        for one in gains
        if one.readings > 1 and share(one) < 1.0 and not is_apart(exam.this, exam.limits, one.kind)
    ]
    return "Not worth another repeat: " + ", ".join(names) + "." if names else ""
