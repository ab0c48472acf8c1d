"""The name of the core: anyone can work it out again with the system's own tools."""

import json
import os
import subprocess
from pathlib import Path

from webapp import core_bundle

BY_HAND = "sha256sum webapp/__init__.py $(find webapp/core -name '*.py' | sort) | sha256sum"


class TestCoreSha256:
    """The hash that names the calculation."""

    def test_equals_the_system_s_own_sum(self) -> None:
        """``sha256sum`` over the files, and over what it printed, gives the same name."""
        root = core_bundle.PACKAGE.parent
        plain = {**os.environ, "LC_ALL": "C"}
        result = subprocess.run(
            ["sh", "-c", BY_HAND], cwd=root, env=plain, capture_output=True, text=True, check=True
        )
        assert result.stdout.split()[0] == core_bundle.core_sha256()


class TestBundleBytes:
    """What a phone fetches."""

    def test_holds_the_files_to_the_letter(self) -> None:
        """Each file in the bundle is the file on disk, byte for byte."""
        bundle = json.loads(core_bundle.bundle_bytes())
        assert bundle["sha256"] == core_bundle.core_sha256()
        for path, text in bundle["files"].items():
            assert Path(core_bundle.PACKAGE.parent, path).read_bytes() == text.encode("utf-8")

    def test_brings_its_self_test(self) -> None:
        """There are calls with expected answers, so that a wrong engine is found out."""
        selftest = json.loads(core_bundle.bundle_bytes())["selftest"]
        assert selftest
        assert all(set(vector) == {"call", "expect"} for vector in selftest)
