"""The command ``audit-log``: follow the chain of the audit log, and compare it with a kept copy."""

import sys

from webapp import options
from webapp.flow import audit
from webapp.settings import Settings, SettingsMissing
from webapp.store import database, migrations
from webapp.store.addresses import BadAddress


def main(argv: list[str]) -> int:
    """Say whether the log is whole; return 1 where it is not."""
    chosen = options.audit_log().parse_args(argv)
    try:
        database.bind(Settings.from_environment().database_url)
        with database.connection():
            migrations.check_shape()
            verdict = audit.verify()
            missing = audit.missing_from(chosen.against) if chosen.against else []
    except (SettingsMissing, BadAddress, migrations.WrongShape, OSError) as error:
        print(error, file=sys.stderr)
        return 1
    for n in missing:
        print(f"Event {n} of the copy is not in the log, or says something else there.")
    if verdict.broken_at is not None:
        print(f"The chain breaks at event {verdict.broken_at}: it was changed or one is missing.")
        return 1
    print(f"{verdict.events} events, each follows from the one before; the newest: {verdict.head}")
    return 1 if missing else 0
