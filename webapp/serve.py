"""The command ``serve``: the real server, behind a proxy that speaks HTTPS to phones."""

import logging
import sys

from flask import Flask
from waitress import create_server

from webapp import catching_up, options
from webapp.app import create_app
from webapp.built_files import is_built
from webapp.flow import audit, desk_key
from webapp.records.errors import BadRecord
from webapp.settings import Settings, SettingsMissing
from webapp.store import database, migrations
from webapp.store.addresses import BadAddress

THREADS = 8


class CannotListen(RuntimeError):
    """The address cannot be listened on; the message says why."""


REFUSALS = (SettingsMissing, BadAddress, BadRecord, migrations.WrongShape, CannotListen, OSError)


def run(argv: list[str]) -> int:
    """Serve until stopped; return 1 with one clear sentence when something is missing."""
    chosen = options.serve().parse_args(argv)
    try:
        settings = Settings.from_environment()
        app = ready_app(settings)
        if settings.audit_file:
            audit.copy_to(settings.audit_file)
        print(f"Lampside starts on {chosen.listen}; phones need an HTTPS proxy.", flush=True)
        serve(app, chosen.listen)
    except REFUSALS as error:
        print(f"Not started. {error}", file=sys.stderr)
        return 1
    return 0


def ready_app(settings: Settings) -> Flask:
    """Return the application once everything it needs is there.

    Raises:
        SettingsMissing: the browser's files are not built.
        WrongShape: the database is new, or of another version.
    """
    if not is_built(settings.built_dir):
        raise SettingsMissing("The browser's files are missing: run python3 -m webapp build.")
    app = create_app(settings)
    with database.connection():
        migrations.check_shape()
        desk_key.enrol()
    return app


def serve(app: Flask, listen: str) -> None:
    """Answer requests on ``host:port`` until the process is stopped.

    Raises:
        CannotListen: the port is taken, or the host is not of this machine.
    """
    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(levelname)s %(message)s")
    # The proxy's headers are believed by ProxyFix, hop by hop; waitress must leave them alone.
    try:
        server = create_server(
            app, listen=listen, threads=THREADS, ident=None, clear_untrusted_proxy_headers=False,
            channel_timeout=120, max_request_body_size=20 * 1024 * 1024,
        )  # fmt: skip
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else str(error).rstrip(".")
        raise CannotListen(f"Nothing can listen on {listen}: {why}. Choose another.") from error
    # One connection stays open: when the last one closes, SQLite empties its log into the file,
    # and each request would pay for that.
    with database.connection():
        catching_up.start()
        server.print_listen("Serving on http://{}:{}")
        server.run()
