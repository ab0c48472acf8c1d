"""Parts of a lane that run two at a time, each of which prints what it has to say when it ends.

Tests without a browser keep one processor busy and the disk idle, or the other way round; those of
the browser wait for pages, servers and each other half of their time. A machine of two processors
does either two at a time in little more than half the time.
"""

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Lock
from typing import NamedTuple, TextIO

from webapp.bootstrap import ROOT

AT_ONCE = 2
_one_speaker = Lock()


class Part(NamedTuple):
    """One part: what it is called, and what runs it with its output sent to a file."""

    name: str
    run: Callable[[TextIO], int]


def all_pass(parts: list[Part]) -> bool:
    """Run every part, whatever becomes of the others, and return whether all gave 0."""
    return not any(codes_of(parts))


def codes_of(parts: list[Part]) -> list[int]:
    """Run every part, whatever becomes of the others, and return what each gave."""
    with ThreadPoolExecutor(AT_ONCE) as pool:
        return list(pool.map(_run, parts))


def pytest_part(name: str, *words: str) -> Part:
    """Return a part that is a pytest run with a cache of its own."""
    command = [
        sys.executable, "-m", "pytest", "-o", f"cache_dir={cache_of(name).relative_to(ROOT)}",
        "--cache-clear", *words,
    ]  # fmt: skip

    def run(output: TextIO) -> int:
        done = subprocess.run(
            command, cwd=ROOT, stdin=subprocess.DEVNULL, stdout=output, stderr=output, check=False
        )
        return done.returncode

    return Part(name, run)


def cache_of(name: str) -> Path:
    """Return the folder in which the part of this name notes what failed."""
    return ROOT / ".pytest_cache" / name


def _run(part: Part) -> int:
    started = time.monotonic()
    with tempfile.TemporaryFile("w+", encoding="utf-8") as output:
        code = part.run(output)
        output.seek(0)
        said = output.read()
    with _one_speaker:
        print(f"\n-- {part.name}, {time.monotonic() - started:.0f} s", said, sep="\n", flush=True)
    return code
