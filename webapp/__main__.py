"""The command line: set up if need be, then run one command.

Modules of the project are imported by command, since most need packages that exist only once the
set-up has made them; ``calc`` runs with any Python at once.
"""

from __future__ import annotations

import sys
from pkgutil import resolve_name
from typing import NamedTuple

from webapp import bootstrap


class Command(NamedTuple):
    """What a command is for, and what runs it."""

    purpose: str
    function: str | None
    """Is given the command's arguments and returns the exit code; None where the set-up did all."""


COMMANDS = {
    "demo": Command(
        "set everything up and serve the demo: --port N, --data DIR, --no-browser",
        "webapp.demo:main",
    ),
    "calc": Command("one calculation: calc NAME, JSON in, JSON out", "webapp.calc:main"),
    "serve": Command("the real server, behind a TLS proxy", "webapp.serve:run"),
    "init": Command("prepare a new installation", "webapp.initialise:main"),
    "users": Command("the people who may sign in", "webapp.users:main"),
    "adopt": Command("put a lens catalogue, limits or a vault model in force", "webapp.adopt:main"),
    "withdraw": Command("take an adopted vault model out of force", "webapp.withdraw:main"),
    "cores": Command(
        "the calculation cores known here, and which open plan would change", "webapp.cores:main"
    ),
    "recall-core": Command("end the use of a calculation core", "webapp.cores:recall"),
    "restored": Command("after an older copy of the database was put back", "webapp.restored:main"),
    "audit-log": Command("check the log of who did what", "webapp.verify_audit_log:main"),
    "import-outbox": Command(
        "take in what a phone exported because it could not send", "webapp.import_outbox:main"
    ),
    "recovery-key": Command(
        "make the key that opens phones nobody can unlock", "webapp.recovery_key:main"
    ),
    "sbom": Command("print the list of all packages it is made of", "webapp.sbom:main"),
    "build": Command("build the browser's files again", None),
}


def main() -> int:
    """Run the command that was typed; return its exit code."""
    name, arguments = (sys.argv[1], sys.argv[2:]) if sys.argv[1:] else ("", [])
    if name in ("--help", "-h"):
        print(usage(), end="")
        return 0
    if name not in COMMANDS:
        what = f"There is no command {name!r}." if name else "Which command?"
        print(f"{usage()}\n{what}", file=sys.stderr)
        return 2
    try:
        bootstrap.require_python("webapp", sys.argv[1:])
        if name != "calc":
            check_options(name, arguments)
            set_up(always_build=name == "build")
        function = COMMANDS[name].function
        return int(resolve_name(function)(arguments)) if function else 0
    except bootstrap.SetUpFailed as failure:
        print(f"\n{failure}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 130


def usage() -> str:
    """Return the commands, a line each."""
    width = max(map(len, COMMANDS))
    lines = (f"  {name:{width}}  {one.purpose}\n" for name, one in COMMANDS.items())
    return (
        f"usage: python3 -m webapp COMMAND [options]\n\n{''.join(lines)}\n"
        "COMMAND --help says what each one takes.\n"
    )


def check_options(name: str, arguments: list[str]) -> None:
    """Answer ``--help`` and a wrong option at once, before anything is installed or built."""
    from webapp import options

    options.OF_COMMAND[name]().parse_args(arguments)


def set_up(always_build: bool) -> None:
    """Enter the project's environment and bring the browser's files up to date."""
    if not bootstrap.is_checkout():
        return
    bootstrap.enter("webapp", sys.argv[1:], extra="assets")
    from webapp.asset_build import build

    build.bring_up_to_date(always=always_build)


if __name__ == "__main__":
    sys.exit(main())
