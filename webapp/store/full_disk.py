"""Telling a full disk from every other fault of a database, on each of them."""

import errno
import sqlite3
from collections.abc import Iterator

# https://www.sqlite.org/rescode.html: the low byte is the error's kind, the rest says more of it.
_SQLITE_KIND = 0xFF
_SQLITE_FULL = 13
_SQLITE_NO_ROOM_FOR_MEMORY = 10 | (19 << 8)
"""SQLITE_IOERR_SHMSIZE: the file beside the log could not grow."""

_POSTGRESQL_FULL = "53100"
"""disk_full (PostgreSQL, appendix A)."""


def is_full(error: BaseException) -> bool:
    """Return whether an error, or one that led to it, says that there is no room on the disk."""
    return any(_says_full(one) for one in _with_causes(error))


def _with_causes(error: BaseException) -> Iterator[BaseException]:
    """Yield an error and those before it: a failed rollback or the library hides the first one."""
    seen: set[int] = set()
    waiting: list[BaseException | None] = [error]
    while waiting:
        one = waiting.pop()
        if one is not None and id(one) not in seen:
            seen.add(id(one))
            yield one
            waiting += [one.__cause__, one.__context__]
            waiting += [value for value in one.args if isinstance(value, BaseException)]


def _says_full(error: BaseException) -> bool:
    if isinstance(error, sqlite3.Error):
        code = getattr(error, "sqlite_errorcode", 0)
        return code & _SQLITE_KIND == _SQLITE_FULL or code == _SQLITE_NO_ROOM_FOR_MEMORY
    if isinstance(error, OSError):
        return error.errno in (errno.ENOSPC, errno.EDQUOT)
    return getattr(error, "sqlstate", None) == _POSTGRESQL_FULL
