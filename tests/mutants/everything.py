"""Every mutant there is."""

from tests.mutants.changes import EXCHANGE
from tests.mutants.guards import GUARDS

MUTANTS = (*EXCHANGE, *GUARDS)
