"""A disk of a few megabytes that a test can fill, and make room on again."""

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

SIZE_BYTES = 32 * 1024 * 1024
BALLAST = "ballast"


@contextmanager
def small_disk(folder: Path) -> Iterator[Path]:
    """Mount a file system in memory on a folder and take it away again.

    Raises:
        AssertionError: it may not be mounted; the test that needs it must not pass for that.
    """
    folder.mkdir()
    words = ["mount", "-t", "tmpfs", "-o", f"size={SIZE_BYTES}", "tmpfs", str(folder)]
    mounted = subprocess.run(words, check=False, capture_output=True, text=True)
    if mounted.returncode != 0:
        raise AssertionError(f"A disk to fill can only be mounted by root: {mounted.stderr}")
    try:
        yield folder
    finally:
        subprocess.run(["umount", "--lazy", str(folder)], check=True)


def leave_free(disk: Path, free_bytes: int) -> None:
    """Fill a disk but for so many bytes."""
    found = os.statvfs(disk)
    ballast = found.f_bavail * found.f_frsize - free_bytes
    with open(disk / BALLAST, "wb") as file:
        os.posix_fallocate(file.fileno(), 0, ballast)


def make_room(disk: Path) -> None:
    """Take the ballast away."""
    (disk / BALLAST).unlink()
