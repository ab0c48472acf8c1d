"""As many histories as each check has time for; ``-m tests.approval_machine`` runs more."""

from tests.approval_machine.machine import not_reached, run

EXAMPLES = 200
SEED = 20261128


def test_no_order_that_must_not_exist() -> None:
    """No history breaks an invariant, and the histories came where it could have been broken."""
    reached = run(EXAMPLES, seed=SEED)
    assert not_reached(reached) == []
