"""Every mutant there is."""

from tests.mutants.boxes import BOXES
from tests.mutants.changes import EXCHANGE
from tests.mutants.guards import GUARDS
from tests.mutants.phone_pages import PHONE_PAGES

MUTANTS = (*EXCHANGE, *GUARDS, *PHONE_PAGES, *BOXES)
