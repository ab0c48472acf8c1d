"""Trying a mutant: a copy of the project, one edit, and what should notice."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

from tests.mutants.mutant import Mutant
from webapp.asset_build.node import NODE
from webapp.bootstrap import ROOT

COPIED = ("webapp", "tests", "static", "demo_fixtures", "pyproject.toml", "README.md")
NOT_COPIED = shutil.ignore_patterns("__pycache__", "node_modules", "built", ".pytest_cache")
FAILED = re.compile(r"^(?:FAILED|ERROR) (\S+)|^\s*✖ (.+?) \(\d|^(seed \d+: .+)", re.MULTILINE)
WAIT_S = 900
PROGRAMS = {
    "simulation": ["-m", "tests.simulation", "--histories", "150", "--processes", "1",
                   "--keep", "0"],
    "planted": ["-m", "tests.simulation", "--histories", "300", "--processes", "1",
                "--keep", "0", "--until-failure"],
    "operated": ["-m", "tests.simulation", "--histories", "150", "--processes", "1",
                 "--keep", "0", "--story", "operated", "--until-failure"],
    "kept": ["-m", "tests.simulation", "--kept", "--processes", "1", "--keep", "0"],
    "machine": ["-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", "tests/approval_machine"],
}  # fmt: skip


class Verdict(NamedTuple):
    """What became of a mutant."""

    mutant: Mutant
    caught_by: str
    """The test that failed; empty when none did."""
    trouble: str
    """Why it could not be tried, or empty."""


class Copy:
    """A copy of the project in a folder of its own."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        for name in COPIED:
            source = ROOT / name
            if source.is_dir():
                shutil.copytree(source, folder / name, ignore=NOT_COPIED)
            else:
                shutil.copy2(source, folder / name)
        for shared in ("static/node_modules", "webapp/built", ".venv"):
            if (ROOT / shared).exists():
                (folder / shared).symlink_to(ROOT / shared)

    def tried(self, mutant: Mutant) -> Verdict:
        """Make the edit, ask each killer in turn, and put the file back."""
        path = self.folder / mutant.path
        whole = path.read_text(encoding="utf-8")
        if whole.count(mutant.old) != 1:
            return Verdict(mutant, "", f"its text stands {whole.count(mutant.old)} times, not once")
        path.write_text(whole.replace(mutant.old, mutant.new), encoding="utf-8")
        try:
            for killer in mutant.killers:
                if caught := self.failing(killer):
                    return Verdict(mutant, caught, "")
        finally:
            path.write_text(whole, encoding="utf-8")
        return Verdict(mutant, "", "")

    def failing(self, killer: str) -> str:
        """Return the name of the first test that fails, or an empty text."""
        done = subprocess.run(
            self._words(killer), cwd=self.folder, env=self._environment(), check=False,
            capture_output=True, text=True, timeout=WAIT_S,
        )  # fmt: skip
        if done.returncode == 0:
            return ""
        found = FAILED.search(done.stdout)
        # A run that ended otherwise has caught nothing: a slip in the edit must not pass for it.
        if found is None:
            raise RuntimeError(f"{killer} ended with {done.returncode}:\n{done.stdout[-2000:]}"
                               f"{done.stderr[-2000:]}")  # fmt: skip
        return f"{killer}: {next(name for name in found.groups() if name)}"

    def _words(self, killer: str) -> list[str]:
        if killer.startswith("js:"):
            return [str(NODE), "--test", "--test-reporter=spec", killer.removeprefix("js:")]
        if killer in PROGRAMS:
            return [sys.executable, *PROGRAMS[killer]]
        return [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", killer]

    def _environment(self) -> dict[str, str]:
        return {**os.environ, "PYTHONPATH": str(self.folder), "PYTHONDONTWRITEBYTECODE": "1"}
