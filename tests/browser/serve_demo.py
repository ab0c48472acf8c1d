"""The demo's server for one browser test: its data, its port, and whose browser files it hands out.

Run as ``python -m tests.browser.serve_demo DATA PORT BUILT [wait]``, or forked from a process that
has read everything in; with ``wait`` a new phone waits for its words, as in real use.
"""

import os
import sys
from multiprocessing.connection import Connection
from pathlib import Path

from tests.postgresql import databases
from webapp import demo
from webapp.app import create_app
from webapp.serve import serve


def main(data_dir: str, port: str, built_dir: str, phones: str = "") -> None:
    """Serve the demo until killed."""
    settings = databases.settings_of(Path(data_dir))
    settings = settings._replace(phones_wait=phones == "wait", built_dir=Path(built_dir))
    demo.make_ready(settings)
    serve(create_app(settings), f"127.0.0.1:{port}")


def fork(says: Connection, environment: dict[str, str], where: list[str]) -> None:
    """Serve as a program of its own would: in this environment, what it prints sent to ``says``."""
    for stream in (sys.stdout, sys.stderr):
        stream.flush()
        os.dup2(says.fileno(), stream.fileno())
    os.environ.clear()
    os.environ.update(environment)
    main(*where)


if __name__ == "__main__":
    main(*sys.argv[1:])
