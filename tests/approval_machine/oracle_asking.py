"""What was asked about the lens in an eye, and whether a decision has answered it.

Judged from signed payloads alone, by the words of decision 71: the decision that names a request
answers it, whatever it decides, also once it fell; one that was taken back answers nothing.
"""

from tests.approval_machine import oracle
from tests.approval_machine.oracle import Records
from tests.approval_machine.oracle_exchange import KIND
from tests.approval_machine.oracle_lenses import Lens

ASKED = "exchange.asked"


def asked(records: Records, eye: str, lens: Lens) -> dict[str, bool]:
    """Return what stands that was asked about a lens, and whether it is answered."""
    return {
        name: is_answered(records, name)
        for name, one in oracle.live(records, ASKED).items()
        if one["eye"] == eye and one["body"]["implant"] in lens.names
    }


def is_answered(records: Records, name: str) -> bool:
    """Return whether a surgeon's decision names it, neither taken back nor set aside."""
    return any(
        one["role"] == "surgeon"
        and name in (one["body"].get("answers") or ())
        and not oracle.settled_against(records, decision)
        for decision, one in oracle.live(records, KIND).items()
    )
