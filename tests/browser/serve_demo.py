"""The demo's server for one browser test: its data, its port, and whose browser files it hands out.

Forked from a process that has read everything in.
"""

import os
import sys
from multiprocessing.connection import Connection
from pathlib import Path
from typing import NamedTuple

from tests.postgresql import databases
from webapp import demo
from webapp.app import create_app
from webapp.serve import serve


class Given(NamedTuple):
    """What one server differs in from the next."""

    data_dir: Path
    port: int
    built_dir: Path
    phones_wait: bool
    """Whether a new phone waits until its words were compared, as in real use."""


def fork(says: Connection, environment: dict[str, str], given: Given) -> None:
    """Serve until killed, in this environment, as a program that prints to ``says``."""
    for stream in (sys.stdout, sys.stderr):
        stream.flush()
        os.dup2(says.fileno(), stream.fileno())
    os.environ.clear()
    os.environ.update(environment)
    settings = databases.settings_of(given.data_dir)
    settings = settings._replace(phones_wait=given.phones_wait, built_dir=given.built_dir)
    demo.make_ready(settings)
    serve(create_app(settings), f"127.0.0.1:{given.port}")
