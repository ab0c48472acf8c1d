"""The server's clock in one place, so that tests can stop it."""

from datetime import UTC, datetime, timedelta


def utc_now() -> datetime:
    """Return the present moment."""
    return datetime.now(UTC)


def instant() -> str:
    """Return the present moment as records write it: UTC, milliseconds, ``Z``."""
    return _written(utc_now())


def instant_before(days: int) -> str:
    """Return the moment so many days ago, as records write it."""
    return _written(utc_now() - timedelta(days=days))


def today() -> str:
    """Return today's date in UTC as ``YYYY-MM-DD``: the day findings are judged by."""
    return utc_now().strftime("%Y-%m-%d")


def seconds() -> int:
    """Return whole seconds since 1970."""
    return int(utc_now().timestamp())


def _written(moment: datetime) -> str:
    return moment.strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3] + "Z"
