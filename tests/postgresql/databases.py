"""Which database the server's tests use: SQLite files, or those of a PostgreSQL if one is named.

The variable ``LAMPSIDE_TEST_POSTGRESQL`` names one; the lane ``postgresql`` sets it.
"""

import os
from pathlib import Path
from urllib.parse import urlsplit
from uuid import uuid4

from webapp.settings import Settings
from webapp.store import database
from webapp.store.addresses import database_at

SERVER = "LAMPSIDE_TEST_POSTGRESQL"
NOTE = "database"


def settings_of_new(folder: Path) -> Settings:
    """Return the demo's settings for this folder, with an empty database."""
    return _settings(folder, "template1")


def settings_of_copy(folder: Path) -> Settings:
    """Return them for a copy of such a folder, with a copy of its database."""
    note = folder / NOTE
    return _settings(folder, note.read_text("utf-8") if note.exists() else "")


def settings_of(folder: Path) -> Settings:
    """Return the settings of a folder as it stands: with the database made for it, or its file."""
    note, server = folder / NOTE, os.environ.get(SERVER)
    settings = Settings.for_demo(folder)
    if not server or not note.exists():
        return settings
    return settings._replace(database_url=_address(server, note.read_text("utf-8")))


def give_back(settings: Settings) -> None:
    """Drop a database that is no longer needed; a file goes with its folder."""
    if settings.database_url.startswith("postgresql:"):
        database.let_go()
        name = urlsplit(settings.database_url).path.removeprefix("/")
        _administer(f'DROP DATABASE "{name}" WITH (FORCE)')


def _settings(folder: Path, template: str) -> Settings:
    settings = Settings.for_demo(folder)
    server = os.environ.get(SERVER)
    if not server:
        return settings
    name = f"tests_{uuid4().hex}"
    database.let_go()
    _administer(f'CREATE DATABASE "{name}" TEMPLATE "{template}" STRATEGY FILE_COPY')
    (folder / NOTE).write_text(name, "utf-8")
    return settings._replace(database_url=_address(server, name))


def _address(server: str, name: str) -> str:
    return urlsplit(server)._replace(path=f"/{name}").geturl()


def _administer(statement: str) -> None:
    administration = database_at(os.environ[SERVER])
    administration.execute_sql(statement)
    administration.close_all()
