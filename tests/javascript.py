"""The lanes that read and run the browser's own code: lint, and Node's test runner."""

import os
import re
import subprocess
import tempfile
from pathlib import Path

from webapp.asset_build.node import NODE, PACKAGES, STATIC
from webapp.bootstrap import ROOT, say

BIOME = str(PACKAGES / "@biomejs" / "biome" / "bin" / "biome")
PLACES = (".", "../webapp/asset_build", "../tests/js")
NOT_RUN = re.compile(r"^# (skipped|todo|cancelled) [1-9]", re.MULTILINE)


def lint() -> bool:
    """Return whether biome finds nothing at all."""
    words = [str(NODE), BIOME, "lint", "--error-on-warnings", "--colors=off", *PLACES]
    return subprocess.run(words, cwd=STATIC, check=False).returncode == 0


def test() -> bool:
    """Return whether each JavaScript test ran and passed; a skipped one counts as failed."""
    with tempfile.TemporaryDirectory() as folder:
        tally = Path(folder) / "tally.tap"
        reporters = ["--test-reporter=spec", "--test-reporter-destination=stdout"]
        reporters += ["--test-reporter=tap", f"--test-reporter-destination={tally}"]
        # By itself Node leaves one processor idle.
        reporters += [f"--test-concurrency={os.cpu_count() or 1}"]
        words = [str(NODE), "--test", *reporters, "tests/js/**/*.test.js"]
        passed = subprocess.run(words, cwd=ROOT, check=False).returncode == 0
        not_run = [found[0] for found in NOT_RUN.finditer(tally.read_text(encoding="utf-8"))]
    for line in not_run:
        say(f"counts as failed: {line}")
    return passed and not not_run
