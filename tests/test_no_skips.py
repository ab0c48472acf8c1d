"""A run with a skipped test is a failed run."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from webapp.bootstrap import ROOT

# The libraries' own plugins take two seconds to start, and these tests use none of them.
BARE = {**os.environ, "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1"}
PASSES = "def test_passes():\n    assert True\n"
SKIPS = "import pytest\n\ndef test_skips():\n    pytest.skip('no browser here')\n"
SKIPS_ITSELF = "import pytest\n\npytest.skip('not today', allow_module_level=True)\n"


@pytest.mark.parametrize(("second_file", "exit_code"), [(PASSES, 0), (SKIPS, 6), (SKIPS_ITSELF, 6)])
def test_exit_code(tmp_path: Path, second_file: str, exit_code: int) -> None:
    """One passing file beside one that passes, skips a test, or skips itself."""
    (tmp_path / "test_first.py").write_text(PASSES, encoding="ascii")
    (tmp_path / "test_second.py").write_text(second_file, encoding="ascii")
    words = ["-m", "pytest", "-q", "-p", "tests.no_skips", "-c", "/dev/null", str(tmp_path)]
    result = subprocess.run(
        [sys.executable, *words], cwd=ROOT, env=BARE, capture_output=True, check=False
    )
    assert result.returncode == exit_code, result.stdout
