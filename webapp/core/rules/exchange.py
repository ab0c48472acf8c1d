"""E4: what speaks about a decision on the lens in an eye, by its records as they stand.

What an eye was first planned under (depth, cells, stability) was answered for then; a second
operation asks again about the person, and about what a further loss of cells would leave.
"""

from webapp.core.case.implants import Implant, days_after, newest_visit
from webapp.core.dates import days_from
from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution, note, ordered
from webapp.core.rules import answers, every, general_health, joined, person
from webapp.core.wording import count_of, micrometres

# A count older than this says little of what a second operation would leave (common practice).
COUNT_DAYS = 180


def findings(exam: Exam, lens: Implant) -> list[Finding]:
    """Return the findings about an exchange that need no calculation, worst first."""
    found = every.limits_in_force(exam)
    for rule in (person, joined, answers, general_health):
        found += rule.findings(exam)
    return ordered(found + early(exam, lens) + crowded(exam, lens) + cells(exam, lens))


def early(exam: Exam, lens: Implant) -> list[Finding]:
    """The vault of the first weeks still moves: 517 um after a week, 530 at a month (83 eyes)."""
    vaults = newest_visit(lens, "followup.vault")
    if not vaults:
        return []
    day = days_after(lens.entry, vaults[0])
    if day >= exam.limits["outcome_settled_days"]:
        return []
    return [caution(
        "E4.early", "exchange", "Not settled yet",
        "The vault is from day " + str(day if day > 0 else 0) + "; it settles by day "
        + str(exam.limits["outcome_settled_days"]) + ".",
        "If the eye allows it, wait and measure again. Where pressure or angle do not allow it,"
        " write so.", [one.id for one in vaults],
    )]  # fmt: skip


def crowded(exam: Exam, lens: Implant) -> list[Finding]:
    """A high lens crowds the angle and holds the pupil: both are looked at before a decision.

    Above the window angle and pupil, above the limit of a very high vault the pressure too (common
    practice); the vault alone is no indication.
    """
    highest_um = max([one.body["vault_um"] for one in newest_visit(lens, "followup.vault")] + [0])
    if highest_um <= exam.limits["window_high_um"]:
        return []
    wanted = ["angle", "pupil"]
    if highest_um > exam.limits["vault_high_um"]:
        wanted.append("pressure")
    unread = [one for one in wanted if not newest_visit(lens, "followup." + one)]
    if not unread:
        return []
    named = unread[0] if len(unread) == 1 else ", ".join(unread[:-1]) + " and " + unread[-1]
    return [caution(
        "E4.crowded", "crowding", "Not read with this lens: " + named,
        "Its vault is " + micrometres(highest_um) + ". Whether a high lens may stay is told by the"
        " eye's " + named + ", not by the vault alone.",
        "Read " + named + " before it is watched, exchanged or taken out.", [],
    )]  # fmt: skip


def cells(exam: Exam, lens: Implant) -> list[Finding]:
    """A second operation costs cells too: how many there are is known before it."""
    counts = newest_visit(lens, "followup.endothelial_count")
    if not counts:
        return [caution(
            "E4.cells", "exchange", "Cells not counted since surgery",
            "A further operation costs endothelial cells, and nobody has counted them with this"
            " lens in the eye.", "Count them before a second operation.", [],
        )]  # fmt: skip
    old_d = days_from(counts[0].body["taken"], exam.today)
    if old_d <= COUNT_DAYS:
        return []
    return [note(
        "E4.cells_old", "exchange", "Count of cells is old",
        "It is from " + count_of(old_d, "day", "days") + " ago.", "Count them again.",
        [one.id for one in counts],
    )]  # fmt: skip
