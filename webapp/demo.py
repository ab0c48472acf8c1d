"""The command ``demo``: the invented hospital of the Tern Islands, on this machine only."""

import socket
import sys
import webbrowser
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path

from webapp import options
from webapp.app import create_app
from webapp.demo_people import DEMO_PEOPLE, PASSPHRASE, SITES
from webapp.flow import recovery_key
from webapp.flow.people import NewUser
from webapp.initialise import prepare
from webapp.serve import CannotListen, serve
from webapp.settings import Settings
from webapp.store import database, migrations

FIRST_PORT = 8000
LAST_PORT = 8099
FIXTURES = "demo_fixtures"


class NoFreePort(RuntimeError):
    """No port near 8000 is free; the message says what to do."""


def main(argv: list[str]) -> int:
    """Serve the invented hospital of the Tern Islands; return the exit code."""
    chosen = options.demo().parse_args(argv)
    return run(chosen.data, chosen.port, not chosen.no_browser, chosen.phones_wait)


def run(
    data_dir: Path | None, port: int | None, open_browser: bool, phones_wait: bool = False
) -> int:
    """Make the demo's data if there is none, print its address, and serve until stopped."""
    settings = Settings.for_demo((data_dir or Path(".demo")).resolve(), phones_wait)
    try:
        make_ready(settings)
        announce_and_serve(settings, port or free_port(), open_browser)
    except migrations.WrongShape as error:
        print(f"Not started. {error}", file=sys.stderr)
        print(f"To begin the demo anew, delete {settings.data_dir}.", file=sys.stderr)
        return 1
    except (NoFreePort, CannotListen) as error:
        print(f"Not started. {error}", file=sys.stderr)
        return 1
    return 0


def announce_and_serve(settings: Settings, listen: int, open_browser: bool) -> None:
    """Print the demo's address, open it if asked, and answer requests until stopped."""
    app = create_app(settings)
    address = f"http://localhost:{listen}/"
    print(f"\nLampside demo: {address}", flush=True)
    print(f"Sign in as any name on that page; the passphrase is: {PASSPHRASE}", flush=True)
    print("Everything in it is invented; nothing here is for a patient. Ctrl+C stops it.\n")
    if open_browser:
        webbrowser.open(address)
    serve(app, f"127.0.0.1:{listen}")


def make_ready(settings: Settings) -> None:
    """Make tables, sites, people and records of the demo, unless they are there already."""
    whole = settings.data_dir / "whole"
    if not whole.exists():
        _make(settings)
        whole.touch()
    database.bind(settings.database_url)
    with database.connection():
        migrations.check_shape()


def _make(settings: Settings) -> None:
    """Make the demo's data from nothing; what an interrupted start left behind goes first."""
    for left in settings.data_dir.glob("lampside.sqlite3*"):
        left.unlink()
    database.bind(settings.database_url)
    with database.connection():
        users = [
            NewUser(one.sign_in_name, one.name, PASSPHRASE, one.roles, one.user_id)
            for one in DEMO_PEOPLE
        ]
        prepare(settings, list(SITES.items()), users)
        recovery_key.make(settings.data_dir)
        # A wheel carries no invented people: the demo then starts with an empty hospital.
        if find_spec(FIXTURES):
            import_module(FIXTURES).load(settings.data_dir)


def free_port() -> int:
    """Return a free port near 8000.

    Raises:
        NoFreePort: all of them are taken.
    """
    for port in range(FIRST_PORT, LAST_PORT + 1):
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind(("127.0.0.1", port))
            except OSError:
                continue
            return port
    raise NoFreePort(f"Ports {FIRST_PORT} to {LAST_PORT} are taken; choose one with --port.")
