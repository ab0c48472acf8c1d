"""The command ``serve``: the real server, behind a proxy that speaks HTTPS to phones."""

import argparse
import logging
import sys

from flask import Flask
from waitress import serve as run_waitress

from webapp.app import create_app
from webapp.built_files import is_built
from webapp.flow import desk_key
from webapp.records.errors import BadRecord
from webapp.settings import Settings, SettingsMissing
from webapp.store import database, migrations
from webapp.store.database import BadAddress

THREADS = 8


def run(argv: list[str]) -> int:
    """Serve until stopped; return 1 with one clear sentence when something is missing."""
    chosen = _parser().parse_args(argv)
    try:
        app = ready_app(Settings.from_environment())
    except (SettingsMissing, BadAddress, BadRecord, migrations.WrongShape) as error:
        print(f"Not started. {error}", file=sys.stderr)
        return 1
    print(f"Lampside listens on {chosen.listen}; put an HTTPS proxy in front.", flush=True)
    serve(app, chosen.listen)
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
    """Answer requests on ``host:port`` until the process is stopped."""
    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(levelname)s %(message)s")
    # One connection stays open: when the last one closes, SQLite empties its log into the file,
    # and each request would pay for that. The proxy's headers are believed by ProxyFix, hop by
    # hop; waitress must leave them alone.
    with database.connection():
        run_waitress(
            app, listen=listen, threads=THREADS, ident=None, clear_untrusted_proxy_headers=False,
            channel_timeout=120, max_request_body_size=20 * 1024 * 1024,
        )  # fmt: skip


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python3 -m webapp serve",
        description="Needs DATABASE_URL, LAMPSIDE_DATA, LAMPSIDE_HOSTS and LAMPSIDE_SECRET_KEY or "
        "LAMPSIDE_SECRET_KEY_FILE; LAMPSIDE_HOPS is the number of proxies in front (1).",
    )
    parser.add_argument("--listen", default="127.0.0.1:8080", metavar="HOST:PORT")
    return parser
