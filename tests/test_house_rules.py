"""Rules of the house that no general tool checks."""

import json
import re
import subprocess
import tomllib
from typing import Any

import pytest

from webapp.bootstrap import ROOT

PARTS = {path.parent.name for path in (ROOT / "webapp").glob("*/__init__.py")}
TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "pyproject.toml", "webapp", "static", "tests", "demo_fixtures",
}  # fmt: skip


def committed() -> list[str]:
    """Return the paths that are in version control."""
    words = ["git", "ls-files", "-z"]
    listing = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=True).stdout
    return [path for path in listing.split("\0") if path and (ROOT / path).is_file()]


@pytest.fixture(scope="module")
def project() -> dict[str, Any]:
    """Return pyproject.toml."""
    return tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


class TestLayout:
    """What lies where."""

    def test_top_level_is_fixed(self) -> None:
        """The top level holds the agreed files and folders; others begin with a dot."""
        top = {path.split("/")[0] for path in committed()}
        assert {name for name in top if not name.startswith(".")} <= TOP_LEVEL

    def test_nothing_built_is_committed(self) -> None:
        """No built file, fetched package or database is in version control."""
        made = re.compile(r"(^|/)(built|node_modules|\.venv|dist)/|\.(sqlite3|pyc|br|wasm|ttf)$")
        assert [path for path in committed() if made.search(path)] == []

    def test_each_folder_says_its_rule(self) -> None:
        """Each part's ``__init__.py`` opens with a sentence; only the top one is empty."""
        for part in PARTS:
            text = (ROOT / "webapp" / part / "__init__.py").read_text(encoding="utf-8")
            assert text.startswith('"""'), part


class TestPackages:
    """What comes from outside."""

    def test_the_lock_file_names_hashes_and_no_address(self) -> None:
        """Each npm package is fixed by its hash; where it is fetched from is the user's setting."""
        lock = json.loads((ROOT / "static" / "package-lock.json").read_bytes())
        fetched = {name: entry for name, entry in lock["packages"].items() if name}
        assert [name for name, entry in fetched.items() if "resolved" in entry] == []
        assert [name for name, entry in fetched.items() if "integrity" not in entry] == []

    def test_npm_packages_are_pinned(self) -> None:
        """Each version in package.json is one version, not a range."""
        wanted = json.loads((ROOT / "static" / "package.json").read_bytes())
        versions = [*wanted["dependencies"].values(), *wanted["devDependencies"].values()]
        assert [v for v in versions if not re.fullmatch(r"\d+\.\d+\.\d+", v)] == []


class TestContracts:
    """The import contracts cover every part there is."""

    def test_the_core_may_import_no_other_part(self, project: dict[str, Any]) -> None:
        """A new part of webapp is forbidden to the core from its first day."""
        contracts = project["tool"]["importlinter"]["contracts"]
        core = next(c for c in contracts if c.get("source_modules") == ["webapp.core"])
        forbidden = {name.removeprefix("webapp.") for name in core["forbidden_modules"]}
        assert PARTS - {"core"} <= forbidden

    def test_each_ignored_rule_has_a_reason(self) -> None:
        """Each line of pyproject.toml that switches a ruff rule off says why."""
        text = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
        ignores = re.findall(r'^ {4}"[A-Z]+\d+",.*$', text, re.MULTILINE)
        assert len(ignores) > 10
        assert [line for line in ignores if "# " not in line] == []


def decisions() -> list[int]:
    """Return the numbers of the decisions as they stand."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    part = text.partition("## Decisions, with reasons\n")[2].partition("\n## ")[0]
    return [int(found) for found in re.findall(r"^(\d+)\. \*\*", part, re.MULTILINE)]


class TestDecisions:
    """What DEVELOPERS.md says of decisions, and what refers to them."""

    def test_are_numbered_without_gaps(self) -> None:
        """Two that were written at once would otherwise have one number."""
        numbers = decisions()
        assert len(numbers) > 10
        assert numbers == list(range(1, len(numbers) + 1))

    def test_none_is_named_that_is_not_there(self) -> None:
        """A comment that sends its reader to a decision sends them to one."""
        named = {
            int(found)
            for path in committed()
            if path.endswith((".py", ".js", ".md"))
            for found in re.findall(
                r"\b[Dd]ecision (\d+)", (ROOT / path).read_text(encoding="utf-8")
            )
        }
        assert named
        assert named <= set(decisions())
