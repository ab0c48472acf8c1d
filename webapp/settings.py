"""The settings of one running server, read once at start and never changed after."""

import os
import secrets
from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple, Self

BUILT = Path(__file__).parent / "built"
SHORTEST_SECRET = 32


class SettingsMissing(RuntimeError):
    """Something the server cannot run without is missing; the message is one clear sentence."""


class Settings(NamedTuple):
    """Everything that differs between one installation and another."""

    database_url: str
    secret_key: str
    demo: bool
    data_dir: Path
    secure_cookies: bool
    trusted_hops: int
    """How many proxies stand in front: exactly so many forwarded headers are believed."""
    trusted_hosts: tuple[str, ...]
    """The names phones and desks use in the address; a request for any other gets 400."""
    built_dir: Path = BUILT
    audit_file: Path | None = None
    """Where a copy of the audit log is added to, line by line; None keeps none."""
    phones_wait: bool = True
    """Whether a new phone counts only once an administrator has compared its eight words."""

    @classmethod
    def for_demo(cls, data_dir: Path, phones_wait: bool = False) -> Self:
        """Return settings for the demo: http on this machine only, a database in ``data_dir``.

        A new phone of the demo is confirmed at once, unless it is to wait as a real one does.
        """
        data_dir.mkdir(parents=True, exist_ok=True)
        return cls(
            database_url=f"sqlite:///{data_dir / 'lampside.sqlite3'}",
            secret_key=_kept_secret(data_dir / "secret_key"),
            demo=True,
            data_dir=data_dir,
            secure_cookies=False,
            trusted_hops=0,
            trusted_hosts=("localhost", "127.0.0.1"),
            phones_wait=phones_wait,
        )

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] | None = None) -> Self:
        """Return settings for a real server.

        Raises:
            SettingsMissing: a variable is missing or cannot be right.
        """
        environment = os.environ if environment is None else environment
        data_dir = Path(_required(environment, "LAMPSIDE_DATA", "the folder for the desk's key"))
        if not data_dir.is_dir():
            raise SettingsMissing(f"LAMPSIDE_DATA names {data_dir}, which is not a folder.")
        return cls(
            database_url=_required(environment, "DATABASE_URL", "the database, sqlite:////path"),
            secret_key=_secret(environment),
            demo=False,
            data_dir=data_dir,
            secure_cookies=True,
            trusted_hops=_hops(environment),
            trusted_hosts=_hosts(environment),
            audit_file=_audit_file(environment),
        )


def _required(environment: Mapping[str, str], name: str, meaning: str) -> str:
    value = environment.get(name, "").strip()
    if not value:
        raise SettingsMissing(f"{name} is not set; it names {meaning}.")
    return value


def _secret(environment: Mapping[str, str]) -> str:
    path = environment.get("LAMPSIDE_SECRET_KEY_FILE", "").strip()
    value = environment.get("LAMPSIDE_SECRET_KEY", "").strip()
    if path:
        try:
            value = Path(path).read_text(encoding="utf-8").strip()
        except OSError as error:
            raise SettingsMissing(
                f"LAMPSIDE_SECRET_KEY_FILE names {path}, which cannot be read: {error.strerror}."
            ) from error
    if not value:
        raise SettingsMissing(
            "No secret key: set LAMPSIDE_SECRET_KEY_FILE to a file that only the server can read, "
            "or LAMPSIDE_SECRET_KEY."
        )
    if len(value) < SHORTEST_SECRET:
        raise SettingsMissing(
            f"The secret key has {len(value)} characters; it needs at least {SHORTEST_SECRET}, "
            "chosen at random."
        )
    return value


def _hops(environment: Mapping[str, str]) -> int:
    text = environment.get("LAMPSIDE_HOPS", "1").strip()
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= 9):
        raise SettingsMissing(
            f"LAMPSIDE_HOPS is {text!r}; it must be the number of proxies in front, 1 to 9."
        )
    return int(text)


def _hosts(environment: Mapping[str, str]) -> tuple[str, ...]:
    text = _required(
        environment, "LAMPSIDE_HOSTS", "the host names people use, separated by commas"
    )
    return tuple(host.strip() for host in text.split(",") if host.strip())


def _audit_file(environment: Mapping[str, str]) -> Path | None:
    text = environment.get("LAMPSIDE_AUDIT_FILE", "").strip()
    if text and not Path(text).parent.is_dir():
        raise SettingsMissing(f"LAMPSIDE_AUDIT_FILE names {text}, whose folder is not there.")
    return Path(text) if text else None


def _kept_secret(path: Path) -> str:
    """Return the secret in this file, making one for the owner alone if there is none."""
    if not path.exists():
        path.touch(mode=0o600)
        path.write_text(secrets.token_urlsafe(48), encoding="utf-8")
    return path.read_text(encoding="utf-8")
