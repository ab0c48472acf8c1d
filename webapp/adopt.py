"""The command ``adopt``: put a lens catalogue or limits in force, in an administrator's name."""

import argparse
import getpass
import json
import sys
from pathlib import Path

from webapp.flow import accounts, desk_key, reference
from webapp.flow.refusal import Refused
from webapp.records.errors import BadRecord
from webapp.settings import Settings, SettingsMissing
from webapp.store import database, migrations
from webapp.store.database import BadAddress

KINDS = {"catalogue": "catalogue.adopted", "limits": "limits.adopted"}
DESCRIPTION = """Put a catalogue or limits in force from now on. FILE holds the body as JSON, with
the fields that the record's kind lists. Approvals made under another one can no longer be ordered
from. Reads the environment as `serve` does; the administrator's passphrase is asked for."""


def main(argv: list[str]) -> int:
    """Adopt what the file holds and return the exit code."""
    chosen = _parser().parse_args(argv)
    try:
        settings = Settings.from_environment()
        body = json.loads(chosen.file.read_text(encoding="utf-8"))
        database.bind(settings.database_url)
        with database.connection():
            migrations.check_shape()
            desk_key.use(settings.data_dir / "desk_key.pem")
            desk_key.enrol()
            print(_adopted(chosen.what, body, chosen.administrator))
    except json.JSONDecodeError as error:
        print(f"{chosen.file} is not JSON: {error}.", file=sys.stderr)
        return 1
    except Refused as refusal:
        print(f"{refusal.field}: {refusal.message}".removeprefix(": "), file=sys.stderr)
        return 1
    except (SettingsMissing, BadAddress, BadRecord, migrations.WrongShape, OSError) as error:
        print(error, file=sys.stderr)
        return 1
    return 0


def _adopted(what: str, body: object, administrator: str) -> str:
    secret, actor = accounts.sign_in(administrator, ask_passphrase(), "command line")
    accounts.sign_out(secret)
    if not isinstance(body, dict):
        raise Refused("record.bad", "The file must hold one JSON object.")
    record_id = reference.adopt(actor, KINDS[what], body)
    return f"In force: {what} {record_id[:12]}, adopted by {actor.name}."


def ask_passphrase() -> str:
    """Return the administrator's passphrase from the terminal, or a line of standard input."""
    if sys.stdin.isatty():
        return getpass.getpass("Passphrase: ")
    return sys.stdin.readline().rstrip("\n")


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python3 -m webapp adopt", description=DESCRIPTION)
    parser.add_argument("what", choices=sorted(KINDS))
    parser.add_argument("file", type=Path)
    parser.add_argument("--administrator", required=True, metavar="SIGN-IN-NAME")
    return parser
