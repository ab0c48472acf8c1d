"""E4: what only shows once an exchange is calculated."""

from webapp.core.exam import Exam
from webapp.core.exchange_plan.lengths import Lengths, danger_e4, index_of, numbers
from webapp.core.exchange_plan.work import Work
from webapp.core.finding import Finding, caution, stop
from webapp.core.lens_words import Lens
from webapp.core.plan import aims as plan_aims
from webapp.core.plan import findings as plan_findings
from webapp.core.units import to_step
from webapp.core.wording import fixed, in_hundred, micrometres, millimetres, size_in_dioptres


def about_lens(exam: Exam, work: Work) -> list[Finding]:
    """Return the findings about the lens in the eye, whatever is decided."""
    return surprise(work) + naked(work) + inside(exam, work)


def about_choice(
    work: Work, lengths: Lengths, choice: Lens | None, offered: Lens | None
) -> list[Finding]:
    """Return the findings about the new lens.

    Args:
        work: what the exchange is reckoned from.
        lengths: what each length promises.
        choice: the lens that the surgeon takes, None for the recommended one.
        offered: the recommended one, or None.
    """
    exam, subject = work.natural, choice if choice is not None else offered
    found = plan_aims.findings(exam)
    if choice is not None or offered is not None:
        found += plan_findings.availability(exam, choice, True)
    index = index_of(lengths, subject)
    if subject is None or index is None:
        return found
    found += plan_findings.labelled_power(exam, subject)
    found += plan_findings.far_choice(lengths.found[index], subject)
    return found + new_vault(exam, lengths, index)


def surprise_e1(work: Work) -> int:
    """Return by how many tenths of an SD the vault missed its prediction."""
    belief = work.belief
    return to_step(10.0 * (work.found.vault_um - belief.predicted_um) / belief.predicted_sd_um, 1.0)


def surprise(work: Work) -> list[Finding]:
    """A vault so far from its prediction is looked into before it is acted on."""
    most_e1 = work.natural.limits["outcome_scales_e1"]
    missed_e1 = surprise_e1(work)
    if abs(missed_e1) <= most_e1:
        return []
    return [caution(
        "E4.surprise", "exchange", "Vault far from its prediction",
        micrometres(work.found.vault_um) + " was found, "
        + micrometres(to_step(work.belief.predicted_um, 1.0)) + " expected: "
        + fixed(abs(missed_e1), 10, 1) + " SD apart. A wrong scan, label, side or eye is as likely"
        " as such an eye.",
        "Be sure of all four before anything is decided.",
        [one.id for one in work.found.vaults],
    )]  # fmt: skip


def naked(work: Work) -> list[Finding]:
    """The eye without its lens has to read as it did before surgery."""
    if work.naked is None:
        return [caution(
            "E4.no_refraction", "exchange", "No refraction with this lens",
            "The power of the new lens rests on the refraction from before surgery alone, and"
            " nothing tells whether the lens in the eye is the one on its label.",
            "Refract the eye with the lens in it.", [],
        )]  # fmt: skip
    most_cD = work.natural.limits["exchange_apart_cD"]
    if work.apart_cD <= most_cD:
        return []
    return [stop(
        "E4.naked", "exchange", "Refraction does not fit the lens",
        "Without its lens the eye would read " + size_in_dioptres(work.apart_cD) + " (blur"
        " strength) away from before surgery; more than " + size_in_dioptres(most_cD)
        + " points to a wrong label, another axis or a wrong refraction.",
        "Refract again, look where the axis lies, and compare the label. Until then the power is"
        " reckoned from before surgery.", [one.id for one in work.found.refractions],
    )]  # fmt: skip


def less(missing: list[dict[str, str]]) -> list[Finding]:
    """What is decided on less than an exchange needs says so."""
    texts = [one["text"][:1].lower() + one["text"][1:] for one in missing]
    return [caution(
        "E4.less", "exchange", "Decided on less than an exchange needs",
        "Missing: " + "; ".join(texts) + ". What another lens, or turning this one, would do is not"
        " known.",
        "Complete it where the eye allows it; where it does not, say in the note why.", [],
    )]  # fmt: skip


def inside(exam: Exam, work: Work) -> list[Finding]:
    """A vault in the window is no reason for an exchange by itself."""
    low_um, high_um = exam.limits["window_low_um"], exam.limits["window_high_um"]
    vault_um = work.found.vault_um
    if vault_um is None or not low_um <= vault_um <= high_um:
        return []
    return [caution(
        "E4.inside", "exchange", "Vault is in the window",
        micrometres(work.found.vault_um) + " lies within " + micrometres(low_um) + " to "
        + micrometres(high_um) + ": its vault is no reason to exchange this lens.",
        "Say in the note what the reason is.", [one.id for one in work.found.vaults],
    )]  # fmt: skip


def new_vault(exam: Exam, lengths: Lengths, index: int) -> list[Finding]:
    """The chance of another bad vault with the new length; as D32 for a first lens."""
    limits, row = exam.limits, numbers(lengths.options[index])
    touch_e4, very_high_e4 = danger_e4(lengths.vaults[index], limits)
    reasons = []
    if row["p_in_e4"] < limits["chance_in_window_e4"]:
        reasons.append("only " + in_hundred(row["p_in_e4"]) + " such eyes would lie in the window")
    if touch_e4 > limits["chance_low_e4"]:
        low_um = micrometres(limits["vault_low_um"])
        reasons.append(in_hundred(touch_e4) + " would have a vault below " + low_um)
    if very_high_e4 > limits["chance_high_e4"]:
        high_um = micrometres(limits["vault_high_um"])
        reasons.append(in_hundred(very_high_e4) + " would have a vault above " + high_um)
    if not reasons:
        return []
    return [caution(
        "E4.new_vault", "length", "Vault after the exchange uncertain",
        "With " + millimetres(row["length_um"]) + ", " + ", ".join(reasons) + ".",
        instead(lengths, row["p_in_e4"]), [],
    )]  # fmt: skip


def instead(lengths: Lengths, p_in_e4: int) -> str:
    """Return what to weigh instead of a length: another only where another promises more."""
    most_e4 = max([numbers(option)["p_in_e4"] for option in lengths.options])
    if p_in_e4 < most_e4:
        return "Weigh another length, and watching it."
    return (
        "No other length of the catalogue promises more: weigh watching it and taking it out, and"
        " ask whether other lengths are made."
    )
