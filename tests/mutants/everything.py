"""Every mutant there is."""

from tests.mutants.backups import BACKUPS
from tests.mutants.boxes import BOXES
from tests.mutants.changes import EXCHANGE
from tests.mutants.guards import GUARDS
from tests.mutants.joining import JOINING
from tests.mutants.lens_exchange import LENS_EXCHANGE
from tests.mutants.lenses_in_turn import LENSES_IN_TURN
from tests.mutants.phone_pages import PHONE_PAGES
from tests.mutants.planted import PLANTED
from tests.mutants.supplier import AT_SUPPLIER
from tests.mutants.theatre import THEATRE

MUTANTS = (
    *EXCHANGE,
    *GUARDS,
    *PHONE_PAGES,
    *BOXES,
    *AT_SUPPLIER,
    *JOINING,
    *THEATRE,
    *LENS_EXCHANGE,
    *PLANTED,
    *LENSES_IN_TURN,
    *BACKUPS,
)
