"""What commands typed at the server share: its database and desk key, and who stands there."""

import getpass
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from webapp.flow import accounts, desk_key, kept_cores
from webapp.flow.actor import Actor
from webapp.flow.refusal import Refused
from webapp.settings import Settings, SettingsMissing
from webapp.store import database, migrations
from webapp.store.addresses import BadAddress

ADDRESS = "command line"
"""Where somebody signs in from who types at the server."""


def run(deed: Callable[[], str]) -> int:
    """Do something at the desk of the installation that the environment names.

    Args:
        deed: returns what is printed.

    Returns:
        The exit code: 1 where it was refused or something is missing, with one sentence.
    """
    try:
        settings = Settings.from_environment()
        with at_the_desk(settings):
            print(deed())
    except Refused as refusal:
        print(refusal.message, file=sys.stderr)
        return 1
    except (SettingsMissing, BadAddress, migrations.WrongShape) as error:
        print(error, file=sys.stderr)
        return 1
    return 0


@contextmanager
def at_the_desk(settings: Settings) -> Iterator[None]:
    """Open the database, with the desk's key and the kept cores, for the block."""
    database.bind(settings.database_url)
    with database.connection():
        migrations.check_shape()
        desk_key.use(settings.data_dir / "desk_key.pem")
        desk_key.enrol()
        kept_cores.use(settings.data_dir)
        yield


def signed_in(sign_in_name: str) -> tuple[Actor, str]:
    """Return somebody with the passphrase they typed; no session stays open. Raises: Refused."""
    passphrase = ask_for(sign_in_name)
    secret, actor = accounts.sign_in(sign_in_name, passphrase, ADDRESS)
    accounts.sign_out(secret, ADDRESS)
    return actor, passphrase


def ask_for(sign_in_name: str) -> str:
    """Return somebody's passphrase from the terminal, or a line of standard input."""
    if sys.stdin.isatty():
        return getpass.getpass(f"Passphrase of {sign_in_name}: ")
    return sys.stdin.readline().rstrip("\n")
