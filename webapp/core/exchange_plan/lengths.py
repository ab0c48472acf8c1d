"""The vault that each available length would give instead of the lens in the eye."""

import math
from collections import namedtuple

from webapp.core.errors import BadInput
from webapp.core.exchange import Belief, NewVault, chances, mean_loss, vault_after_exchange
from webapp.core.exchange_plan.work import Work
from webapp.core.lens_length import DEFAULT_LOSS_WEIGHTS, Choice, Option, Window, choose
from webapp.core.lens_power import Eye
from webapp.core.lens_words import LENS_FIELDS, Lens
from webapp.core.plan import lenses as plan_lenses
from webapp.core.plan.lenses import AtLength, Offer, is_available, left_by, refraction_json
from webapp.core.plan.vault import window_of
from webapp.core.student import normal_above
from webapp.core.units import to_step
from webapp.core.vault import Prediction
from webapp.core.wording import in_hundred, micrometres, millimetres

# In step with each other, one for each length, shortest first. vaults: NewVault; options: Option
# with the same figures; found: AtLength, None where no power corrects the eye; best: Choice.
Lengths = namedtuple("Lengths", ("vaults", "options", "found", "best"))
FIGURE_UM = range(0, 1501, 20)
CURVE_TOP = 1000
NORMAL_95 = 1.96


def lengths_of(work: Work) -> Lengths:
    """Return what each length of the catalogue promises this eye."""
    exam = work.natural
    now_um = work.lens.entry.body["lens"]["length_um"]
    lengths_um = sorted({
        length_um for model in exam.reference.models for length_um in model.lengths_um
    })  # fmt: skip
    window = window_of(exam)
    vaults, options, found = [], [], []
    for length_um in lengths_um:
        vault = new_vault(work.belief, work.found.vault_um, length_um - now_um)
        vaults.append(vault)
        options.append(option_of(length_um, vault, window))
        found.append(at_length(work, length_um, vault.mean_um))
    return Lengths(vaults, options, found, choose(options))


def new_vault(belief: Belief, found_um: int, change_um: int) -> NewVault:
    """Return the vault expected with another length [um]."""
    return vault_after_exchange(belief, float(found_um), change_um / 1000.0)


def option_of(length_um: int, vault: NewVault, window: Window) -> Option:
    """Return what one length promises, in the form that lengths are chosen among."""
    p_low, p_in, p_high = chances(vault, window.low_um, window.high_um)
    reach_um = NORMAL_95 * vault.sd_um
    weights = DEFAULT_LOSS_WEIGHTS
    return Option(
        length_um / 1000.0, Prediction(vault.mean_um, vault.sd_um, 0.0),
        vault.mean_um - reach_um, vault.mean_um + reach_um, p_low, p_in, p_high,
        mean_loss(vault, window.low_um, window.high_um, weights.low, weights.high),
    )  # fmt: skip


def at_length(work: Work, length_um: int, vault_um: float) -> AtLength | None:
    """Return the lenses for a length, that of the same power as now among them where it is made."""
    try:
        found = plan_lenses.at_length(work.natural, length_um, vault_um, work.corrects)
    except BadInput:
        return None  # No power corrects this eye at this vault; other lengths may still do.
    kept = same_power(work, length_um)
    if kept is None or any(one.lens == kept for one in found.offers):
        return found
    left = left_by(eye_with(work, kept, vault_um), kept)
    offer = Offer(kept, left, found.offers[-1].rank if found.offers else ())
    return AtLength(found.length_um, found.exact, found.eye, found.offers + [offer])


def same_power(work: Work, length_um: int) -> Lens | None:
    """Return the lens in the eye with another length; None where that is not made."""
    body = work.lens.entry.body["lens"]
    values = [length_um if name == "length_um" else body[name] for name in LENS_FIELDS]
    lens = Lens(*values)
    return lens if is_available(work.natural.reference.models, lens) else None


def eye_with(work: Work, lens: Lens, vault_um: float) -> Eye:
    """Return the eye that corrects what this exchange has to, with a lens at a vault."""
    model = plan_lenses.model_named(work.natural, lens.model)
    offset_um = 0 if model is None else model.offset_um
    return plan_lenses.eye_at(work.natural, vault_um, offset_um, work.corrects)


def is_kept(work: Work, lens: Lens) -> bool:
    """Return whether a lens has the power, and the axis on its label, of the one in the eye."""
    body = work.lens.entry.body["lens"]
    return all(
        getattr(lens, name) == body[name] for name in ("sphere_cD", "cylinder_cD", "axis_deg")
    )


def index_of(lengths: Lengths, lens: Lens | None) -> int | None:
    """Return where a lens's length stands, None where it has no calculation."""
    for index, found in enumerate(lengths.found):
        if lens is not None and found is not None and found.length_um == lens.length_um:
            return index
    return None


def recommended(work: Work, lengths: Lengths) -> Lens | None:
    """Return the best lens of the best length; None where the best length is the one in the eye.

    A clear winner by chance is taken; without one, the smaller expected harm decides.
    """
    best = lengths.best
    mm = best.best_by_probability_mm if best.is_separable else best.best_by_loss_mm
    length_um = to_step(mm * 1000.0, 1.0)
    if length_um == work.lens.entry.body["lens"]["length_um"]:
        return None
    for found in lengths.found:
        if found is not None and found.length_um == length_um and found.offers:
            lens: Lens = found.offers[0].lens
            return lens
    return None


def curve(vault: NewVault, narrowest_um: float) -> list[int]:
    """Return the density every 20 um from 0 to 1500 um, 1000 at the highest peak shown."""
    top = CURVE_TOP * narrowest_um / vault.sd_um
    samples = []
    for at_um in FIGURE_UM:
        z = (at_um - vault.mean_um) / vault.sd_um
        samples.append(to_step(top * math.exp(-z * z / 2.0), 1.0))
    return samples


def danger_e4(vault: NewVault, limits: dict[str, int]) -> tuple[int, int]:
    """Return the chances [1/10000] of a dangerously low and a dangerously high vault."""
    low = normal_above((vault.mean_um - limits["vault_low_um"]) / vault.sd_um)
    high = normal_above((limits["vault_high_um"] - vault.mean_um) / vault.sd_um)
    return to_step(low * 1e4, 1.0), to_step(high * 1e4, 1.0)


def rows_json(work: Work, lengths: Lengths) -> list[dict[str, object]]:
    """Return each length as it crosses the door."""
    narrowest_um = min([vault.sd_um for vault in lengths.vaults])
    return [row_json(work, lengths, index, narrowest_um) for index in range(len(lengths.vaults))]


def row_json(work: Work, lengths: Lengths, index: int, narrowest_um: float) -> dict[str, object]:
    """Return one length: its vault and chances, its exact lens and its best lenses."""
    vault, found = lengths.vaults[index], lengths.found[index]
    row = numbers(lengths.options[index])
    length_um: int = row["length_um"]
    touch_e4, very_high_e4 = danger_e4(vault, work.natural.limits)
    now_um = work.lens.entry.body["lens"]["length_um"]
    answer: dict[str, object] = {name: row[name] for name in row}
    answer["change_um"] = length_um - now_um
    answer["is_now"] = 1 if length_um == now_um else 0
    answer["p_touch_e4"], answer["p_very_high_e4"] = touch_e4, very_high_e4
    answer["curve"] = curve(vault, narrowest_um)
    answer["exact"] = None if found is None else refraction_json(found.exact)
    answer["lenses"] = [] if found is None else offers_json(work, found)
    answer["text"] = said(row)
    return answer


def numbers(option: Option) -> dict[str, int]:
    """Return one length's promise in whole numbers."""
    low_e4, high_e4 = to_step(option.p_low * 1e4, 1.0), to_step(option.p_high * 1e4, 1.0)
    return {
        "length_um": to_step(option.length_mm * 1000.0, 1.0),
        "mean_um": to_step(option.prediction.mean_um, 1.0),
        "sd_um": to_step(option.prediction.scale_um, 1.0),
        "low95_um": to_step(option.low95_um, 1.0),
        "high95_um": to_step(option.high95_um, 1.0),
        "p_low_e4": low_e4,
        "p_in_e4": 10000 - low_e4 - high_e4,
        "p_high_e4": high_e4,
        "loss_um": to_step(option.loss_um, 1.0),
    }


def offers_json(work: Work, found: AtLength) -> list[dict[str, object]]:
    """Return the lenses of a length, and whether each has the power of the one in the eye."""
    answers = plan_lenses.offers_json(work.natural, found)
    for offer, answer in zip(found.offers, answers):
        answer["kept"] = 1 if is_kept(work, offer.lens) else 0
    return answers


def said(row: dict[str, int]) -> str:
    """Return one length as it is read out."""
    return (
        millimetres(row["length_um"]) + ". Expected vault " + micrometres(row["mean_um"])
        + ", 95 in 100 between " + micrometres(row["low95_um"]) + " and "
        + micrometres(row["high95_um"]) + ". Of 100 such eyes: " + count(row["p_in_e4"])
        + " in the window, " + count(row["p_low_e4"]) + " too low, " + count(row["p_high_e4"])
        + " too high."
    )  # fmt: skip


def count(chance_e4: int) -> str:
    """Return a chance as a count of a hundred: "73", "<1"."""
    return in_hundred(chance_e4).split(" ")[0]


def best_json(lengths: Lengths) -> dict[str, int]:
    """Return which lengths are best, by chance and by loss, and whether the first leads clearly."""
    best: Choice = lengths.best
    return {
        "best_by_probability_um": to_step(best.best_by_probability_mm * 1000.0, 1.0),
        "best_by_loss_um": to_step(best.best_by_loss_mm * 1000.0, 1.0),
        "separable": 1 if best.is_separable else 0,
    }


def subject_promise(lengths: Lengths, index: int) -> dict[str, int]:
    """Return the promise of one length that a decision signs."""
    row = numbers(lengths.options[index])
    names = ("mean_um", "low95_um", "high95_um", "p_low_e4", "p_in_e4", "p_high_e4")
    return {name: row[name] for name in names}
