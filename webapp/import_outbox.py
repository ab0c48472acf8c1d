"""The command ``import-outbox``: take in what a phone exported because it could not send."""

import sys
from collections.abc import Iterable
from pathlib import Path

from webapp import options
from webapp.flow import outbox_file
from webapp.flow.receive import Receipt
from webapp.flow.refusal import Refused
from webapp.records.errors import BadRecord
from webapp.records.recovery import RecoveryKey
from webapp.settings import Settings, SettingsMissing
from webapp.store import database, migrations
from webapp.store.addresses import BadAddress


def main(argv: list[str]) -> int:
    """Take in one file and print a line a record; return the exit code."""
    chosen = options.import_outbox().parse_args(argv)
    try:
        settings = settings_of(chosen.demo)
        key = RecoveryKey.load(chosen.recovery_key)
        envelopes = outbox_file.opened(chosen.file.read_bytes(), key)
        database.bind(settings.database_url)
        with database.connection():
            migrations.check_shape()
            receipts = outbox_file.push(envelopes)
    except (SettingsMissing, BadAddress, migrations.WrongShape, BadRecord, OSError) as error:
        print(error, file=sys.stderr)
        return 1
    except Refused as refusal:
        print(refusal.message, file=sys.stderr)
        return 1
    print(*lines(receipts), sep="\n")
    return 1 if any(receipt.reason for receipt in receipts) else 0


def settings_of(demo: Path | None) -> Settings:
    """Return the settings of the demo in this folder, or those of the environment."""
    return Settings.for_demo(demo.resolve()) if demo else Settings.from_environment()


def lines(receipts: list[Receipt]) -> Iterable[str]:
    """Yield a line for each record and one for all of them; ids only, no patient data."""
    for receipt in receipts:
        why = f": {receipt.reason.code}" if receipt.reason else ""
        yield f"{receipt.id[:12]}  {receipt.result}{why}"
    refused = sum(1 for receipt in receipts if receipt.reason)
    at_base = len(receipts) - refused
    yield f"{len(receipts)} records, {at_base} of them at the base, {refused} refused."
