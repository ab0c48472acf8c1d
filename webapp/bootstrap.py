"""Set-up on first use: one command makes the environment, installs the project and goes on in it.

Standard library only, and old syntax only, since it must speak clearly to a Python that is too
old to run the rest. Each step leaves a stamp, so a second run does none of them again.

    python3 -m webapp demo -> .venv/ -> pip install -e .[extra] -> the same command inside .venv
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
ENVIRONMENT = ROOT / ".venv"
STAMP = ENVIRONMENT / "installed.json"
OLDEST = (3, 11)
NEWER = ("python3.14", "python3.13", "python3.12", "python3.11")


class SetUpFailed(Exception):
    """The set-up cannot go on; the message says what is missing and what to do."""


def is_checkout() -> bool:
    """Return whether this is a working copy, which sets itself up; a wheel comes complete."""
    return (ROOT / "pyproject.toml").exists() and (ROOT / "static" / "package.json").exists()


def enter(module: str, arguments: list[str], extra: str) -> None:
    """Go on inside the project's environment with ``extra`` installed; return once there.

    Args:
        module: what ``python -m`` runs again inside the environment.
        arguments: its command line.
        extra: "assets" for running, "tests" for the checks as well.

    Raises:
        SetUpFailed: something needed is missing; the message says what to do.
    """
    require_python(module, arguments)
    with one_at_a_time():
        if not is_environment_sound():
            make_environment()
        if not is_installed(extra):
            install(extra)
    if not is_inside():
        go_on([str(environment_python()), "-m", module, *arguments])


def require_python(module: str, arguments: list[str]) -> None:
    """Go on with a newer Python of this machine if this one is too old, or say what is needed."""
    if sys.version_info[:2] >= OLDEST:
        return
    for name in NEWER:
        newer = shutil.which(name)
        if newer:
            go_on([newer, "-m", module, *arguments])
    found = ".".join(map(str, sys.version_info[:3]))
    raise SetUpFailed(
        f"Python 3.11 or newer is needed; this is Python {found} and no newer one was found. "
        "Install one (Debian 12 and Ubuntu 24.04 bring it as python3) and run the command again."
    )


def go_on(command: list[str]) -> None:
    """Replace this process, so that signals and the terminal reach the new one directly."""
    sys.stdout.flush()
    sys.stderr.flush()
    os.chdir(ROOT)
    os.execv(command[0], command)  # noqa: S606 - a Python of this machine, arguments as typed


@contextlib.contextmanager
def one_at_a_time() -> Iterator[None]:
    """Let a second command wait while a first one is still setting up."""
    import fcntl  # noqa: PLC0415 - the message about an old Python comes first, on any system

    ENVIRONMENT.mkdir(exist_ok=True)
    with open(ENVIRONMENT / "set-up.lock", "w", encoding="ascii") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def environment_python() -> Path:
    """Return the environment's own Python."""
    return ENVIRONMENT / "bin" / "python"


def is_inside() -> bool:
    """Return whether this process already runs in the project's environment."""
    return Path(sys.prefix).resolve() == ENVIRONMENT.resolve()


def is_environment_sound() -> bool:
    """Return whether the environment starts and has pip; a moved or half-made one does not."""
    if is_inside():
        return True
    if not environment_python().exists():
        return False
    probe = [str(environment_python()), "-c", "import pip, sys; print(sys.prefix)"]
    result = subprocess.run(probe, capture_output=True, text=True, check=False)
    return result.returncode == 0 and result.stdout.strip() == str(ENVIRONMENT)


def make_environment() -> None:
    """Make ``.venv`` afresh, with the Python that runs this."""
    say("Making the environment in .venv ...")
    command = [sys.executable, "-m", "venv", "--clear", str(ENVIRONMENT)]
    result = subprocess.run(command, capture_output=True, text=True, check=False)
    if result.returncode != 0:
        raise SetUpFailed(
            "Python could not make its environment. On Debian and Ubuntu the part that does it "
            "is a package of its own: run 'apt-get install python3-venv' as the administrator, "
            f"then this command again. Python said: {(result.stdout + result.stderr).strip()}"
        )


def wanted_stamp(extra: str) -> dict[str, str]:
    """Return what an up-to-date environment was installed from."""
    settings = hashlib.sha256((ROOT / "pyproject.toml").read_bytes()).hexdigest()
    return {"pyproject": settings, "extra": extra}


def is_installed(extra: str) -> bool:
    """Return whether the environment holds what pyproject.toml now asks for, or more."""
    try:
        stamp = json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False
    return bool(stamp in (wanted_stamp(extra), wanted_stamp("tests")))


def install(extra: str) -> None:
    """Install the project, editable, with its dependencies."""
    say("Installing the project and what it depends on; the first time takes a minute ...")
    pip = [str(environment_python()), "-m", "pip", "--disable-pip-version-check"]
    command = [*pip, "install", "--quiet", "--no-input", "--editable", f"{ROOT}[{extra}]"]
    if subprocess.run(command, check=False, cwd=ROOT).returncode != 0:
        raise SetUpFailed(
            "The Python packages could not be installed; pip's own words are above. The first "
            "run needs the network: check the connection (and the proxy, if there is one) and "
            "run the same command again. Nothing is lost."
        )
    STAMP.write_text(json.dumps(wanted_stamp(extra)), encoding="utf-8")


def say(text: str) -> None:
    """Print a line of progress."""
    print(text, file=sys.stderr, flush=True)
