"""The lane ``postgresql``: the server's tests once more, on a PostgreSQL of their own."""

import os
import subprocess
import sys
from typing import TextIO

from tests.postgresql import cluster, databases
from webapp.bootstrap import ROOT, say

TESTS = (
    "tests/postgresql", "tests/store", "tests/flow", "tests/sync", "tests/desk/test_ordering.py",
    "tests/desk/test_pages.py", "tests/access/test_sign_in.py",
    "--ignore=tests/store/test_sqlite.py",
    # A server process of its own, on the SQLite file of its folder.
    "--ignore=tests/sync/test_order_race.py",
)  # fmt: skip


def passes(options: list[str], output: TextIO | None) -> bool:
    """Run the tests that write to a database and say whether all passed.

    Args:
        options: for pytest.
        output: where its words go; None for the terminal.

    Where there is no PostgreSQL and none may be fetched, say so: that is a failure of this lane.
    """
    try:
        with cluster.running() as address:
            found = {**os.environ, databases.SERVER: address}
            return _pytest(options, found, output) == 0
    except cluster.NoPostgresql as missing:
        say(str(missing))
        return False


def _pytest(options: list[str], environment: dict[str, str], output: TextIO | None) -> int:
    words = ["-o", "cache_dir=.pytest_cache/postgresql", "-m", "not browser", *TESTS, *options]
    done = subprocess.run(
        [sys.executable, "-m", "pytest", *words], cwd=ROOT, env=environment, check=False,
        stdin=subprocess.DEVNULL, stdout=output, stderr=output,
    )  # fmt: skip
    return done.returncode
