"""The browser of the tests: the system's Chromium where it works, else one fetched for them.

Chromium comes in two builds. The one without a window of its own is the same engine without the
toolbar, popups and other pages of the full browser, which nobody sees here and which cost a third
of the processor's time; the full one is taken where it is the only one.
"""

import os
import shutil
import subprocess
import sys
from functools import cache
from pathlib import Path

from webapp.bootstrap import SetUpFailed, say

WITHOUT_WINDOW = "chromium-headless-shell"
FULL = ("chromium", "chromium-browser", "google-chrome-stable", "google-chrome")


def find() -> str:
    """Return the path of a Chromium that starts.

    Raises:
        SetUpFailed: there is none.
    """
    found = _working()
    if not found:
        raise SetUpFailed("No Chromium was found; 'python3 -m tests browser' fetches one.")
    return found


def ensure() -> None:
    """Make sure that there is a Chromium, by the system's packages or by Playwright.

    Raises:
        SetUpFailed: there is none and none could be fetched.
    """
    if not shutil.which(WITHOUT_WINDOW):
        _from_debian()
        _working.cache_clear()
    if not _working():
        _from_playwright()
        _working.cache_clear()
    if not _working():
        raise SetUpFailed(
            "The browser tests need Chromium, which is neither here nor to be fetched. On Debian "
            "run 'apt-get install chromium' as the administrator; elsewhere "
            "'.venv/bin/python -m playwright install --with-deps chromium'. Then run this again."
        )


@cache
def _working() -> str | None:
    """Return the first candidate that starts: on some systems the command is an empty shell."""
    candidates = [shutil.which(name) for name in (WITHOUT_WINDOW, *FULL)]
    return next(
        (path for path in (*candidates, _playwrights_own()) if path and _starts(path)), None
    )


def _starts(path: str) -> bool:
    try:
        command = [path, "--version", "--no-sandbox"]
        result = subprocess.run(command, capture_output=True, timeout=60, check=False)
    except (OSError, subprocess.TimeoutExpired):
        return False
    return result.returncode == 0


def _playwrights_own() -> str | None:
    """Return the newest Chromium that Playwright keeps for this user, if any."""
    caches = os.environ.get("PLAYWRIGHT_BROWSERS_PATH", Path.home() / ".cache" / "ms-playwright")
    found = sorted(Path(caches).glob("chromium-*/chrome-linux*/chrome"))
    return str(found[-1]) if found else None


def _from_debian() -> None:
    """Install the system's packages, which only the administrator may, and only Debian has.

    One after the other: an older Debian has only the full build.
    """
    is_debian = "\nID=debian" in "\n" + Path("/etc/os-release").read_text(encoding="utf-8")
    if not is_debian or os.geteuid() != 0:
        return
    say("Installing Chromium for the browser tests ...")
    quiet = {"DEBIAN_FRONTEND": "noninteractive", **os.environ}
    install = ("install", "-y", "--no-install-recommends")
    for words in (("update",), (*install, "chromium"), (*install, WITHOUT_WINDOW)):
        command = ["apt-get", "-qq", *words]
        subprocess.run(command, env=quiet, stdin=subprocess.DEVNULL, check=False)


def _from_playwright() -> None:
    """Let Playwright fetch a build of its own, with the system's libraries where it may."""
    say("Fetching Chromium for the browser tests ...")
    libraries = ["--with-deps"] if os.geteuid() == 0 else []
    command = [sys.executable, "-m", "playwright", "install", *libraries, "chromium"]
    subprocess.run(command, stdin=subprocess.DEVNULL, check=False)
