"""A PostgreSQL of the tests' own: in a temporary folder, on a socket, without a network.

It does not wait for the disk, since nothing in it is worth keeping; what a power cut leaves is
PostgreSQL's own promise and is not tried here.
"""

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

from webapp.bootstrap import say

DEBIAN = Path("/usr/lib/postgresql")
NOT_HERE = (
    "No PostgreSQL was found. On Debian run 'apt-get install postgresql' as the administrator; "
    "elsewhere put initdb and pg_ctl on the PATH. Then run this again."
)
QUIET = (
    "fsync=off",
    "synchronous_commit=off",
    "full_page_writes=off",
    "listen_addresses=",
    "max_connections=60",
)


class NoPostgresql(Exception):
    """There is none on this machine and none could be fetched."""


def ensure() -> Path:
    """Return the folder of PostgreSQL's programs, fetching Debian's package where that is allowed.

    Raises:
        NoPostgresql: there is none.
    """
    found = _programs()
    if found is None:
        _from_debian()
        found = _programs()
    if found is None:
        raise NoPostgresql(NOT_HERE)
    return found


@contextmanager
def running() -> Iterator[str]:
    """Run a new server for the block; give the address of its first database.

    Raises:
        NoPostgresql: there is none.
    """
    programs = ensure()
    with tempfile.TemporaryDirectory(prefix="lampside-pg-") as name:
        folder = Path(name)
        _give_to_owner(folder)
        data = folder / "data"
        _run(
            programs / "initdb", "-D", data, "-U", "tests", "-A", "trust", "-E", "UTF8", "--no-sync"
        )
        settings = " ".join(f"-c {one}" for one in (*QUIET, f"unix_socket_directories={folder}"))
        _run(programs / "pg_ctl", "-D", data, "-w", "-o", settings, "-l", folder / "log", "start")
        try:
            yield f"postgresql://tests@{quote(str(folder), safe='')}/postgres"
        finally:
            _run(programs / "pg_ctl", "-D", data, "-m", "immediate", "stop")


def _programs() -> Path | None:
    """Return where ``initdb`` lies: on the PATH, or where Debian puts the newest version."""
    on_path = shutil.which("initdb")
    if on_path:
        return Path(on_path).resolve().parent
    kept = sorted(DEBIAN.glob("*/bin/initdb"), key=lambda path: int(path.parts[-3]))
    return kept[-1].parent if kept else None


def _from_debian() -> None:
    if os.geteuid() != 0 or shutil.which("apt-get") is None:
        return
    say("Installing PostgreSQL for the tests ...")
    quiet = {"DEBIAN_FRONTEND": "noninteractive", **os.environ}
    for words in (["update"], ["install", "-y", "--no-install-recommends", "postgresql"]):
        command = ["apt-get", "-qq", *words]
        subprocess.run(command, env=quiet, stdin=subprocess.DEVNULL, check=False)


def _owner() -> pwd.struct_passwd | None:
    """Return whom the server runs as: PostgreSQL refuses the administrator."""
    if os.geteuid() != 0:
        return None
    for name in ("postgres", "nobody"):
        try:
            return pwd.getpwnam(name)
        except KeyError:
            continue
    return None


def _give_to_owner(folder: Path) -> None:
    owner = _owner()
    if owner is not None:
        os.chown(folder, owner.pw_uid, owner.pw_gid)


def _run(*words: object) -> None:
    owner = _owner()
    who = {} if owner is None else {"user": owner.pw_uid, "group": owner.pw_gid, "extra_groups": []}
    done = subprocess.run(
        [str(word) for word in words], capture_output=True, text=True, check=False, cwd="/", **who,
    )  # fmt: skip
    if done.returncode != 0:
        raise RuntimeError(f"{words[0]}: {done.stdout}{done.stderr}")
