"""The command ``restored``: an older copy of the database is in use, so phones offer all again."""

import sys

from webapp import options
from webapp.flow import clock, desk_key
from webapp.settings import Settings, SettingsMissing
from webapp.store import database, installation, migrations
from webapp.store.addresses import BadAddress


def main(argv: list[str]) -> int:
    """Begin another life of this database and return the exit code."""
    options.restored().parse_args(argv)
    try:
        settings = Settings.from_environment()
        database.bind(settings.database_url)
        with database.connection():
            migrations.check_shape()
            with database.writing():
                installation.raise_epoch(clock.seconds())
                desk_key.begin_new(settings.data_dir / "desk_key.pem")
    except (SettingsMissing, BadAddress, migrations.WrongShape) as error:
        print(error, file=sys.stderr)
        return 1
    print(
        "From now on every phone reads all records again and offers again all that it holds. The "
        "desk signs with a new key. Start the server again now."
    )
    return 0
