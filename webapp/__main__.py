"""The command line: set up if need be, then run one command.

Modules of the project are imported by command, since most need packages that exist only once the
set-up has made them; ``calc`` runs with any Python at once.
"""

from __future__ import annotations

import sys

from webapp import bootstrap

USAGE = """usage: python3 -m webapp COMMAND [options]

  demo      set everything up and serve the demo: --port N, --data DIR, --no-browser
  calc      one calculation on the command line: calc NAME, JSON in, JSON out
  serve     the real server, behind a TLS proxy
  init      prepare a new installation
  users     the people who may sign in
  adopt     put a lens catalogue, limits or a vault model in force
  withdraw  take an adopted vault model out of force
  cores     the calculation cores known here, and which open plan would change
  recall-core  end the use of a calculation core
  restored  after an older copy of the database was put back
  audit-log check the log of who did what
  import-outbox  take in what a phone exported because it could not send
  recovery-key   make the key that opens phones nobody can unlock
  build     build the browser's files again

COMMAND --help says what each one takes.
"""


def main() -> int:
    """Run the command that was typed; return its exit code."""
    name, arguments = (sys.argv[1], sys.argv[2:]) if sys.argv[1:] else ("", [])
    if name in ("--help", "-h"):
        print(USAGE, end="")
        return 0
    if name not in COMMANDS:
        what = f"There is no command {name!r}." if name else "Which command?"
        print(f"{USAGE}\n{what}", file=sys.stderr)
        return 2
    try:
        bootstrap.require_python("webapp", sys.argv[1:])
        if name != "calc":
            check_options(name, arguments)
            set_up(always_build=name == "build")
        return COMMANDS[name](arguments)
    except bootstrap.SetUpFailed as failure:
        return stop(str(failure))
    except KeyboardInterrupt:
        return 130


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


def demo(arguments: list[str]) -> int:
    """Serve the invented hospital of the Tern Islands on this machine."""
    from webapp import options
    from webapp.demo import run

    chosen = options.demo().parse_args(arguments)
    return run(chosen.data, chosen.port, not chosen.no_browser, chosen.phones_wait)


def calc(arguments: list[str]) -> int:
    """Answer one calculation."""
    from webapp.calc import main as answer

    return answer(arguments)


def serve(arguments: list[str]) -> int:
    """Start the real server."""
    from webapp.serve import run

    return run(arguments)


def init(arguments: list[str]) -> int:
    """Prepare a new installation."""
    from webapp.initialise import main as prepare

    return prepare(arguments)


def users(arguments: list[str]) -> int:
    """List, add and change the people who may sign in."""
    from webapp.users import main as manage

    return manage(arguments)


def adopt(arguments: list[str]) -> int:
    """Put a lens catalogue, limits or a vault model in force."""
    from webapp.adopt import main as adopt_file

    return adopt_file(arguments)


def withdraw(arguments: list[str]) -> int:
    """Take an adopted vault model out of force."""
    from webapp.withdraw import main as withdraw_model

    return withdraw_model(arguments)


def cores(arguments: list[str]) -> int:
    """List the calculation cores and the open plans of older ones."""
    from webapp.cores import main as list_cores

    return list_cores(arguments)


def recall_core(arguments: list[str]) -> int:
    """End the use of a calculation core, by two administrators."""
    from webapp.cores import recall

    return recall(arguments)


def restored(arguments: list[str]) -> int:
    """Have the phones offer everything again."""
    from webapp.restored import main as begin_again

    return begin_again(arguments)


def audit_log(arguments: list[str]) -> int:
    """Check the chain of the audit log."""
    from webapp.verify_audit_log import main as verify

    return verify(arguments)


def import_outbox(arguments: list[str]) -> int:
    """Take in what a phone exported."""
    from webapp.import_outbox import main as take_in

    return take_in(arguments)


def recovery_key(arguments: list[str]) -> int:
    """Make the recovery key of an installation that has none."""
    from webapp.recovery_key import main as make_key

    return make_key(arguments)


def build(arguments: list[str]) -> int:
    """Nothing is left to do: the set-up before this command built the browser's files."""
    return 0


def stop(sentence: str) -> int:
    """Say why it does not go on; return the exit code."""
    print(f"\n{sentence}", file=sys.stderr)
    return 1


COMMANDS = {
    "demo": demo,
    "calc": calc,
    "serve": serve,
    "init": init,
    "users": users,
    "adopt": adopt,
    "withdraw": withdraw,
    "cores": cores,
    "recall-core": recall_core,
    "restored": restored,
    "import-outbox": import_outbox,
    "recovery-key": recovery_key,
    "audit-log": audit_log,
    "build": build,
}

if __name__ == "__main__":
    sys.exit(main())
