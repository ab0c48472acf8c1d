"""Which lenses a surgeon may name as the back-up of one: those that this very plan offers.

They have the chosen lens's length, so its promise of a vault is theirs, and none of them brings a
finding of its own: what was shown for the chosen lens is all that has to be answered for both. The
chosen lens itself may be ordered twice.
"""

from webapp.core.exam import Exam
from webapp.core.lens_words import Lens
from webapp.core.lens_words import as_json as lens_json
from webapp.core.plan.findings import far_choice, labelled_power
from webapp.core.plan.lenses import AtLength, is_available


def backups(exam: Exam, found: AtLength | None, lens: Lens | None) -> list[dict[str, object]]:
    """Return the lenses that may be named beside a chosen one, the nearest first.

    Args:
        exam: the eye.
        found: what was calculated for the chosen lens's length, None where nothing was.
        lens: the chosen one, None without one.
    """
    if lens is None or found is None or not is_available(exam.reference.models, lens):
        return []
    return [
        lens_json(one.lens)
        for one in found.offers
        if not labelled_power(exam, one.lens) and not far_choice(found, one.lens)
    ]
