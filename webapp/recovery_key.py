"""The command ``recovery-key``: give an installation made without one its recovery key."""

import sys

from webapp import options
from webapp.flow import recovery_key
from webapp.settings import Settings, SettingsMissing


def main(argv: list[str]) -> int:
    """Make the key unless there is one; return the exit code."""
    chosen = options.recovery_key().parse_args(argv)
    try:
        settings = Settings.from_environment()
        if recovery_key.is_made(settings.data_dir):
            print("This installation has a recovery key; nothing was changed.", file=sys.stderr)
            return 1
        recovery_key.make(settings.data_dir, chosen.file)
    except (SettingsMissing, OSError) as error:
        print(error, file=sys.stderr)
        return 1
    print(f"Now move {chosen.file} off this machine; phones take its public part at their next")
    print("sign-in with the network. Restart the server.")
    return 0
