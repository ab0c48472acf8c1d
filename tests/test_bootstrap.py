"""The set-up: what it says when something is missing, and that it does nothing twice."""

import json
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from webapp import bootstrap
from webapp.bootstrap import SetUpFailed


@pytest.fixture
def empty_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Point the set-up at a folder with only a pyproject.toml."""
    (tmp_path / "pyproject.toml").write_text("[project]\n", encoding="utf-8")
    monkeypatch.setattr(bootstrap, "ROOT", tmp_path)
    monkeypatch.setattr(bootstrap, "ENVIRONMENT", tmp_path / ".venv")
    monkeypatch.setattr(bootstrap, "STAMP", tmp_path / ".venv" / "installed.json")
    return tmp_path


def program(path: Path, script: str) -> Path:
    """Write a small program that stands in for Python."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(f"#!/bin/sh\n{script}\n", encoding="ascii")
    path.chmod(path.stat().st_mode | stat.S_IXUSR)
    return path


class TestRequirePython:
    """Which Python will do."""

    def test_an_old_one_is_refused_by_version(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """With Python 3.10 and nothing newer about, the message names both versions."""
        monkeypatch.setattr(sys, "version_info", (3, 10, 12))
        monkeypatch.setattr(bootstrap, "NEWER", ())
        with pytest.raises(SetUpFailed, match=r"Python 3\.11 or newer is needed.*3\.10\.12"):
            bootstrap.require_python("webapp", [])

    def test_a_newer_one_on_the_machine_takes_over(
        self, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
    ) -> None:
        """With Python 3.10 and a newer one on the path, the same command goes on in that one."""
        newer = program(tmp_path / "python3.12", "exit 0")
        gone_on: list[list[str]] = []
        monkeypatch.setattr(sys, "version_info", (3, 10, 12))
        monkeypatch.setenv("PATH", str(tmp_path))
        monkeypatch.setattr(bootstrap, "go_on", lambda words: gone_on.append(words) or 1 / 0)
        with pytest.raises(ZeroDivisionError):
            bootstrap.require_python("webapp", ["demo"])
        assert gone_on == [[str(newer), "-m", "webapp", "demo"]]


class TestMakeEnvironment:
    """The environment in .venv."""

    def test_a_missing_venv_part_is_named(
        self, empty_place: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Where Python cannot make an environment, the message names the package to install."""
        broken = program(empty_place / "python", "echo ensurepip is not available; exit 1")
        monkeypatch.setattr(sys, "executable", str(broken))
        with pytest.raises(SetUpFailed, match=r"apt-get install python3-venv.*ensurepip is not"):
            bootstrap.make_environment()

    def test_a_moved_one_is_not_trusted(self, empty_place: Path) -> None:
        """An environment that says it lives elsewhere is made anew."""
        program(empty_place / ".venv" / "bin" / "python", "echo /somewhere/else/.venv")
        assert not bootstrap.is_environment_sound()


class TestInstall:
    """The packages."""

    def test_a_failure_speaks_of_the_network(self, empty_place: Path) -> None:
        """When pip fails, the message says what to check and leaves no stamp of success."""
        program(empty_place / ".venv" / "bin" / "python", "exit 1")
        with pytest.raises(SetUpFailed, match="check the connection"):
            bootstrap.install("assets")
        assert not bootstrap.is_installed("assets")

    def test_is_done_once(self, empty_place: Path) -> None:
        """After a success nothing is left to do, until pyproject.toml changes."""
        program(empty_place / ".venv" / "bin" / "python", "exit 0")
        bootstrap.install("assets")
        assert bootstrap.is_installed("assets")
        assert not bootstrap.is_installed("tests")
        (empty_place / "pyproject.toml").write_text("[project]\n#\n", encoding="utf-8")
        assert not bootstrap.is_installed("assets")

    def test_the_checks_bring_all_that_running_needs(self, empty_place: Path) -> None:
        """An environment made for the checks also serves the demo."""
        program(empty_place / ".venv" / "bin" / "python", "exit 0")
        bootstrap.install("tests")
        assert bootstrap.is_installed("assets")


class TestCommandLine:
    """``python3 -m webapp``."""

    def test_an_unknown_command_shows_the_commands(self) -> None:
        """A word that is no command prints the list and ends with 2."""
        result = webapp("frobnicate")
        assert result.returncode == 2
        assert "demo" in result.stderr
        assert "calc" in result.stderr

    def test_calc_needs_no_installed_package(self) -> None:
        """``calc`` answers with a bare Python: the mean sphere of -3.00 -2.00 x 180 is -4.00."""
        refraction = {"sphere_D": -3, "cylinder_D": -2, "axis_deg": 180}
        question = json.dumps({"refraction": refraction})
        result = webapp("calc", "power-vector", flags=["-S"], text=question)
        assert result.returncode == 0, result.stderr
        assert json.loads(result.stdout)["M_D"] == pytest.approx(-4.0, abs=1e-12)


def webapp(
    *words: str, flags: list[str] | None = None, text: str = ""
) -> subprocess.CompletedProcess[str]:
    """Run the command line as a user would."""
    command = [sys.executable, *(flags or []), "-m", "webapp", *words]
    return subprocess.run(
        command, cwd=bootstrap.ROOT, input=text, capture_output=True, text=True, check=False
    )
