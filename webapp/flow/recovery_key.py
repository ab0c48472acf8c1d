"""The public part of the hospital's recovery key, as phones are told of it when they enrol."""

from pathlib import Path

from webapp.records import recovery
from webapp.records.envelope import to_base64url

PRIVATE_FILE = "recovery_key.pem"
PUBLIC_FILE = "recovery_public.pem"
_in_use: dict[str, str | None] = {"spki": None}


def use(data_dir: Path) -> None:
    """Load the public part of this installation, if it has one; the last call counts."""
    spki = recovery.public_spki(data_dir / PUBLIC_FILE)
    _in_use["spki"] = None if spki is None else to_base64url(spki)


def public() -> str | None:
    """Return the SPKI in base64url, or None where this installation has no recovery key."""
    return _in_use["spki"]


def is_made(data_dir: Path) -> bool:
    """Say whether this installation has a recovery key."""
    return (data_dir / PUBLIC_FILE).exists()


def make(data_dir: Path, private_path: Path | None = None) -> Path:
    """Make this installation's recovery key unless it has one; return where the private part goes.

    Raises:
        FileExistsError: there is a file where the private part should go; nothing was changed.
    """
    path = private_path or data_dir / PRIVATE_FILE
    if not is_made(data_dir):
        recovery.make(path, data_dir / PUBLIC_FILE)
    return path
