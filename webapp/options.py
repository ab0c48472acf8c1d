"""What each command takes on its line, checked before any set-up: help needs nothing installed."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from webapp import starting_point

INIT = """Prepare a new installation. Reads DATABASE_URL, LAMPSIDE_DATA, LAMPSIDE_HOSTS and the
secret key from the environment, as `serve` does. The first administrator's passphrase is asked
for, or read from standard input when that is not a terminal."""
ADOPT = """Put a catalogue, limits or a vault model in force from now on. FILE holds the body as
JSON; --example prints one to begin from. A catalogue may also be a table, NAME.csv, whose columns
webapp/exchange_formats/catalogue_columns.py lists; one error in it adopts nothing. Approvals made
under another one can no longer be ordered from. A surgeon adopts a vault model: FILE then holds a
whole body, or {"from_calc": what `calc vault-model` answered, "title", "diameter_kind", "device"
(null for any), "fitted_on"}. Reads the environment as `serve` does; the person's passphrase is
asked for."""
WITHDRAW = """Take an adopted vault model out of force. Plans use the default prior again, and the
approvals that rest on it fall. Reads the environment as `serve` does; the surgeon's passphrase is
asked for. Without an id the adopted models are listed."""
CORES = """List the calculation cores known here with their plans, and each plan not ordered yet
that another core than the one in use made: whether it would change. Reads the environment as
`serve` does. Cases appear by their number only."""
RECALL_CORE = """Recall a calculation core: nothing is planned with it any more and nothing ordered
from its plans. Two administrators do it, whose passphrases are asked for in turn; it is not taken
back. Reads the environment as `serve` does."""
SERVE = """Needs DATABASE_URL, LAMPSIDE_DATA, LAMPSIDE_HOSTS and LAMPSIDE_SECRET_KEY or
LAMPSIDE_SECRET_KEY_FILE; LAMPSIDE_HOPS is the number of proxies in front (1); LAMPSIDE_AUDIT_FILE
a file to which a copy of the audit log is added, best on another machine's disk."""
RESTORED = """Run it once after a copy of the database was put back in place of a newer one. What
phones sent since the copy was made is not in it; they hold it still and send it again. Reads the
environment as `serve` does."""
AUDIT_LOG = """Check that no event of the audit log was changed or taken out. Reads the environment
as `serve` does. The end of a log can only be missed with a copy that was kept elsewhere: see
LAMPSIDE_AUDIT_FILE of `serve`."""
IMPORT_OUTBOX = """Take in what a phone exported because it could not send: opened with the
hospital's recovery key, verified and judged like a push over the network, once however often it is
brought. Prints a line a record. Reads the environment as `serve` does, unless --demo names the
folder of a demo."""
RECOVERY_KEY = """Make the key that opens phones nobody can unlock, for an installation that was
prepared before there was one; `init` makes it for a new one. FILE gets the private part: move it
off this machine. Reads the environment as `serve` does."""
SBOM = """Print the list of all packages that Lampside is made of (CycloneDX 1.6, JSON): the Python
packages installed here and those that the lock file of static/ pins. What only builds or checks
it has the scope "excluded"."""
USERS = "List accounts, add one, or set a passphrase, at the server itself."


def demo() -> argparse.ArgumentParser:
    """Return what ``demo`` takes."""
    parser = _parser("demo", "Serve the invented hospital of the Tern Islands on this machine.")
    parser.add_argument(
        "--port", type=port_of, metavar="N", help="port to listen on; default: a free one near 8000"
    )
    parser.add_argument(
        "--data", type=Path, metavar="DIR", help="folder for the demo's data; default: .demo"
    )
    parser.add_argument("--no-browser", action="store_true", help="only print the address")
    parser.add_argument(
        "--phones-wait", action="store_true",
        help="a new phone waits until the administrator has compared its words, as in real use",
    )  # fmt: skip
    return parser


def serve() -> argparse.ArgumentParser:
    """Return what ``serve`` takes."""
    parser = _parser("serve", SERVE)
    parser.add_argument(
        "--listen", type=address_of, default="127.0.0.1:8080", metavar="HOST:PORT",
        help="where the proxy finds it; default: 127.0.0.1:8080",
    )  # fmt: skip
    return parser


def init() -> argparse.ArgumentParser:
    """Return what ``init`` takes."""
    parser = _parser("init", INIT)
    parser.add_argument(
        "--site", action="append", required=True, metavar="ID=TITLE",
        help="a site, the base hospital first; once for each",
    )  # fmt: skip
    parser.add_argument("--administrator", required=True, metavar="SIGN-IN-NAME")
    parser.add_argument("--name", required=True, help="the administrator's name as shown")
    return parser


def users() -> argparse.ArgumentParser:
    """Return what ``users`` takes."""
    parser = _parser("users", USERS)
    commands = parser.add_subparsers(dest="command", required=True)
    commands.add_parser("list", help="every account")
    add = commands.add_parser("add", help="make an account; the passphrase is asked for")
    add.add_argument("sign_in_name")
    add.add_argument("--name", required=True, help="the name as shown")
    add.add_argument(
        "--role", action="append", default=[], metavar="ROLE@SITE",
        help="optometrist, surgeon, desk, theatre, auditor or administrator at a site, such as "
        "surgeon@saltpan; once for each",
    )  # fmt: skip
    add.add_argument(
        "--by", action="append", default=[], metavar="ADMINISTRATOR",
        help="who gives the role surgeon or administrator: two of them, whose passphrases are "
        "asked for in turn; the second administrator of all needs none",
    )  # fmt: skip
    change = commands.add_parser("passphrase", help="set somebody's passphrase")
    change.add_argument("sign_in_name")
    return parser


def adopt() -> argparse.ArgumentParser:
    """Return what ``adopt`` takes."""
    parser = _parser("adopt", ADOPT)
    kinds = sorted(starting_point.BODIES)
    parser.add_argument("what", choices=[*kinds, "vault-model"])
    parser.add_argument("file", type=Path, metavar="FILE")
    who = parser.add_mutually_exclusive_group(required=True)
    who.add_argument("--administrator", dest="who", metavar="SIGN-IN-NAME")
    who.add_argument("--surgeon", dest="who", metavar="SIGN-IN-NAME", help="for a vault model")
    parser.add_argument("--title", help="title of a catalogue from a table; default: its file name")
    parser.add_argument(
        "--invented", action="store_true", help="the models of the table are not for patients"
    )
    parser.add_argument(
        "--example", action=_PrintExample, choices=kinds, help="print a file to begin from, and end"
    )
    return parser


def withdraw() -> argparse.ArgumentParser:
    """Return what ``withdraw`` takes."""
    parser = _parser("withdraw", WITHDRAW)
    parser.add_argument("what", choices=["vault-model"])
    parser.add_argument("adoption", nargs="?", metavar="ID", help="its first twelve signs or more")
    parser.add_argument("--surgeon", metavar="SIGN-IN-NAME")
    parser.add_argument("--reason", metavar="TEXT", help="ten characters or more")
    return parser


def cores() -> argparse.ArgumentParser:
    """Return what ``cores`` takes: nothing."""
    return _parser("cores", CORES)


def recall_core() -> argparse.ArgumentParser:
    """Return what ``recall-core`` takes."""
    parser = _parser("recall-core", RECALL_CORE)
    parser.add_argument("core", metavar="HASH", help="its first twelve signs or more")
    parser.add_argument("--reason", required=True, metavar="TEXT", help="ten characters or more")
    parser.add_argument(
        "--by", action="append", required=True, metavar="ADMINISTRATOR", help="two of them"
    )
    return parser


def restored() -> argparse.ArgumentParser:
    """Return what ``restored`` takes: nothing."""
    return _parser("restored", RESTORED)


def audit_log() -> argparse.ArgumentParser:
    """Return what ``audit-log`` takes."""
    parser = _parser("audit-log", AUDIT_LOG)
    parser.add_argument(
        "--against", type=Path, metavar="FILE",
        help="a kept copy of its JSON lines; events that only the copy holds are named",
    )  # fmt: skip
    return parser


def import_outbox() -> argparse.ArgumentParser:
    """Return what ``import-outbox`` takes."""
    parser = _parser("import-outbox", IMPORT_OUTBOX)
    parser.add_argument("file", type=Path, metavar="FILE", help="what the phone exported")
    parser.add_argument(
        "--recovery-key", type=Path, required=True, metavar="FILE", help="the private part"
    )
    parser.add_argument("--demo", type=Path, metavar="DIR", help="into the demo of this folder")
    return parser


def recovery_key() -> argparse.ArgumentParser:
    """Return what ``recovery-key`` takes."""
    parser = _parser("recovery-key", RECOVERY_KEY)
    parser.add_argument("file", type=Path, metavar="FILE", help="where the private part goes")
    return parser


def sbom() -> argparse.ArgumentParser:
    """Return what ``sbom`` takes: nothing."""
    return _parser("sbom", SBOM)


def build() -> argparse.ArgumentParser:
    """Return what ``build`` takes: nothing."""
    return _parser("build", "Build the browser's files again.")


def port_of(text: str) -> int:
    """Return a port number. Raises: ArgumentTypeError unless it is 1 to 65535."""
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= 65535):
        raise argparse.ArgumentTypeError(f"{text!r} is not a port; write a number from 1 to 65535")
    return int(text)


def address_of(text: str) -> str:
    """Return an address to listen on, as typed. Raises: ArgumentTypeError unless HOST:PORT."""
    host, _, port = text.rpartition(":")
    if not host:
        raise argparse.ArgumentTypeError(f"{text!r} is not HOST:PORT, such as 127.0.0.1:8080")
    port_of(port)
    return text


class _PrintExample(argparse.Action):
    """Print a body and end, whatever else is missing on the line, as ``--help`` does."""

    def __call__(
        self,
        parser: argparse.ArgumentParser,
        namespace: argparse.Namespace,
        values: object,
        option_string: str | None = None,
    ) -> None:
        print(json.dumps(starting_point.BODIES[str(values)](), indent=2))
        parser.exit()


def _parser(command: str, description: str) -> argparse.ArgumentParser:
    return argparse.ArgumentParser(prog=f"python3 -m webapp {command}", description=description)


OF_COMMAND = {
    "demo": demo,
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
    "sbom": sbom,
    "build": build,
}
