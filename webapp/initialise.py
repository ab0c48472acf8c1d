"""The command ``init``: make the tables, the sites, the desk's key and the first administrator."""

import getpass
import sys

from webapp import options
from webapp.flow import clock, desk_key, people, recovery_key
from webapp.flow.actor import RoleAt
from webapp.flow.people import NewUser
from webapp.flow.refusal import Refused
from webapp.settings import Settings, SettingsMissing
from webapp.store import database, installation, migrations
from webapp.store.addresses import BadAddress


def main(argv: list[str]) -> int:
    """Prepare a new installation and return the exit code."""
    chosen = options.init().parse_args(argv)
    try:
        settings = Settings.from_environment()
        sites = [_site(text) for text in chosen.site]
        administrator = NewUser(
            chosen.administrator, chosen.name, ask_passphrase(),
            [RoleAt("administrator", sites[0][0])],
        )  # fmt: skip
        database.bind(settings.database_url)
        with database.connection():
            prepare(settings, sites, [administrator])
        offline = recovery_key.make(settings.data_dir)
    except (SettingsMissing, BadAddress, ValueError, FileExistsError) as error:
        print(error, file=sys.stderr)
        return 1
    except Refused as refusal:
        print(refusal.message, file=sys.stderr)
        return 1
    names = ", ".join(site for site, _ in sites)
    print(f"Ready: the administrator {chosen.administrator}, and these sites: {names}.")
    print("Make a second administrator next: a surgeon's role takes two of them.")
    print(
        f"Now move {offline} off this machine, to where it is kept offline: it opens every phone."
    )
    return 0


def prepare(settings: Settings, sites: list[tuple[str, str]], users: list[NewUser]) -> None:
    """Make everything a new installation needs, all or nothing, on the open connection.

    Raises:
        ValueError: the database has its tables already.
        Refused: an account cannot be made.
    """
    if migrations.is_made():
        raise ValueError("This database is prepared already; nothing was changed.")
    desk_key.use(settings.data_dir / "desk_key.pem")
    with database.writing():
        migrations.make_tables(clock.seconds())
        for site, title in sites:
            installation.add_site(site, title)
        for user in users:
            people.make(user)
        desk_key.enrol()


def ask_passphrase() -> str:
    """Return a new passphrase, typed twice at a terminal or read from standard input."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\n")
    first = getpass.getpass("Passphrase: ")
    if getpass.getpass("The same again: ") != first:
        raise ValueError("The two passphrases differ; nothing was changed.")
    return first


def _site(text: str) -> tuple[str, str]:
    site, _, title = text.partition("=")
    if not (site.isascii() and site.replace("-", "").isalnum() and site.islower() and title):
        raise ValueError(f"{text!r} is not a site; write it as saltpan='Saltpan camp'.")
    if site == "all":
        raise ValueError("The site name 'all' is taken: it stands for catalogue and limits.")
    return site, title
