"""The power of the new lens: what it corrects, whether it stays the same, how sure that is."""

from webapp.core.aims import target_vector
from webapp.core.errors import BadInput
from webapp.core.exchange_plan.lengths import Lengths, eye_with, index_of, is_kept
from webapp.core.exchange_plan.lens_in import refraction_text
from webapp.core.exchange_plan.work import Work, before_vector
from webapp.core.lens_power import lens_for, sensitivity
from webapp.core.lens_words import Lens
from webapp.core.optics import PowerVector
from webapp.core.plan.lenses import eye_at, left_by, power_of, predicted_json, refraction_json
from webapp.core.plan.refraction_doubt import REFRACTION_D, budget, half_width
from webapp.core.units import to_step
from webapp.core.wording import size_in_dioptres


def observed_refraction(work: Work) -> dict[str, object] | None:
    """Return the refraction found, in the plane of the one before surgery; None without one."""
    if work.found.corneal is None or work.worn is None:
        return None
    return predicted_json(work.worn)


def naked_json(work: Work) -> dict[str, object] | None:
    """Return what the eye would read without its lens beside what it read before surgery."""
    if work.naked is None:
        return None
    answer, earlier = predicted_json(work.naked), before_vector(work)
    most_cD = work.natural.limits["exchange_apart_cD"]
    answer["text"] = refraction_text(work.naked)
    answer["before"], answer["before_text"] = refraction_json(earlier), refraction_text(earlier)
    answer["apart_cD"] = work.apart_cD
    answer["suspicious"] = 1 if work.apart_cD > most_cD else 0
    now, was = refraction_text(work.naked), refraction_text(earlier)
    word = "more" if work.apart_cD > most_cD else "not more"
    answer["sentence"] = (
        "Without its lens the eye would read " + now + "; before surgery it read " + was
        + ". They are " + size_in_dioptres(work.apart_cD) + " apart (blur strength), " + word
        + " than " + size_in_dioptres(most_cD) + "."
    )  # fmt: skip
    return answer


def power_json(work: Work, lengths: Lengths, lens: Lens | None) -> dict[str, object] | None:
    """Return whether the power stays, and the exact lens by the eye without its lens alone."""
    index = index_of(lengths, lens)
    if lens is None or index is None:
        return None
    kept = is_kept(work, lens)
    text = "The power stays; the length changes." if kept else "The power changes too."
    vault_um = lengths.vaults[index].mean_um
    return {
        "kept": 1 if kept else 0,
        "text": text,
        "exact_from_naked": exact_from(work, lens, vault_um, work.naked),
        "exact_from_before": exact_from(work, lens, vault_um, before_vector(work)),
    }


def exact_from(
    work: Work, lens: Lens, vault_um: float, worn: PowerVector | None
) -> dict[str, object] | None:
    """Return the exact lens for a refraction at the new vault; None where none corrects it."""
    if worn is None:
        return None
    models = [one for one in work.natural.reference.models if one.model == lens.model]
    offset_um = models[0].offset_um if models else 0
    try:
        eye = eye_at(work.natural, vault_um, offset_um, worn)
        return refraction_json(lens_for(eye, target_vector(work.natural.aims)))
    except BadInput:
        return None


def doubt_json(work: Work, lengths: Lengths, lens: Lens | None) -> dict[str, object] | None:
    """Return how far the refraction may be off with the new lens, by its largest causes."""
    index = index_of(lengths, lens)
    if lens is None or index is None:
        return None
    vault = lengths.vaults[index]
    eye, power = eye_with(work, lens, vault.mean_um), power_of(lens)
    change = sensitivity(eye, power)
    by_vault_cD = to_step(abs(change.vault_100um) * vault.sd_um, 1.0)
    by_refraction_cD = to_step(abs(change.refraction_d) * REFRACTION_D * 100.0, 1.0)
    all_cD = to_step(100.0 * half_width(budget(eye, power, vault.sd_um), 1), 1.0)
    return {
        "vault_cD": by_vault_cD,
        "refraction_cD": by_refraction_cD,
        "all95_cD": all_cD,
        "text": "One SD of the vault moves the refraction by "
        + size_in_dioptres(by_vault_cD)
        + ", one SD of a refraction by "
        + size_in_dioptres(by_refraction_cD)
        + "; of 100 such eyes 95 end within "
        + size_in_dioptres(all_cD)
        + " of what is predicted.",
    }


def predicted_with(work: Work, lens: Lens, vault_um: float) -> dict[str, object]:
    """Return the refraction that a new lens leaves at a vault."""
    return refraction_json(left_by(eye_with(work, lens, vault_um), lens))
