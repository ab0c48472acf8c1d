"""Folds made again beside the requests: after midnight and after an update all are of before then.

The lists show each row as it is now, whatever is kept; their counts and their order come from kept
folds. A pause as long as the work leaves the other half of a processor to whoever waits for a page.
"""

import logging
from threading import Thread
from time import monotonic, sleep

from peewee import PeeweeException

from webapp.flow import kept_folds
from webapp.store import database, installation

EVERY_S = 60
"""How often it is looked whether there is anything to do."""


def start() -> None:
    """Begin, for as long as the process runs."""
    Thread(target=_run, name="catching-up", daemon=True).start()


def _run() -> None:
    while True:
        sleep(EVERY_S)
        try:
            catch_up()
        except PeeweeException as error:
            # A full disk, a database that restarts: the next look may find it well.
            logging.getLogger(__name__).warning("Folds wait: %s", type(error).__name__)


def catch_up() -> None:
    """Make every fold again that is not of now, with pauses."""
    with database.connection():
        sites = frozenset(installation.site_titles())
        while True:
            started = monotonic()
            if kept_folds.refresh_some(sites):
                return
            sleep(monotonic() - started)
