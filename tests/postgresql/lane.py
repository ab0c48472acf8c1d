"""The lane ``postgresql``: the server's tests once more, on a PostgreSQL of their own."""

import os
import subprocess
import sys

from tests.postgresql import cluster, databases
from webapp.bootstrap import ROOT, say

TESTS = (
    "tests/postgresql", "tests/store", "tests/flow", "tests/sync", "tests/desk/test_ordering.py",
    "tests/desk/test_pages.py", "tests/access/test_sign_in.py",
    "--ignore=tests/store/test_sqlite.py",
)  # fmt: skip


def passes(options: list[str]) -> bool:
    """Run the tests that write to a database and say whether all passed.

    Where there is no PostgreSQL and none may be fetched, say so: that is a failure of this lane.
    """
    try:
        with cluster.running() as address:
            found = {**os.environ, databases.SERVER: address}
            words = [sys.executable, "-m", "pytest", "-m", "not browser", *TESTS, *options]
            done = subprocess.run(words, cwd=ROOT, env=found, stdin=subprocess.DEVNULL, check=False)
            return done.returncode == 0
    except cluster.NoPostgresql as missing:
        say(str(missing))
        return False
