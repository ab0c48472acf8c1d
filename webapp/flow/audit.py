"""The audit log: who signed in, who was refused, who changed what. Never a patient's data.

A value is an opaque id, a code or an address; one that looks like anything else is a fault of the
program and is not written. Each event is also a JSON line of the logger ``lampside.audit``, so
that a copy can be kept where this server cannot change it.
"""

import json
import logging
import re
from pathlib import Path
from typing import NamedTuple

from webapp.flow import clock
from webapp.flow.actor import Actor
from webapp.store import accounts, audit_log
from webapp.store.audit_log import Event, Line
from webapp.store.database import writing

LOGGER = logging.getLogger("lampside.audit")

EVENTS = {
    "session.began": "Signed in",
    "session.ended": "Signed out",
    "sessions.ended": "Was signed out everywhere",
    "sign_in.failed": "A sign-in failed",
    "passphrase.refused": "A passphrase asked for again was wrong",
    "access.refused": "Was not allowed",
    "change.done": "Changed something",
    "change.refused": "Tried to change something and was refused",
    "account.made": "Made an account",
    "account.stopped": "Stopped an account",
    "account.started": "Started an account",
    "role.given": "Gave a role",
    "role.taken": "Took a role away",
    "proposal.made": "Proposed something that needs two people",
    "proposal.confirmed": "Confirmed somebody’s proposal",
    "proposal.withdrawn": "Took a proposal back, or refused it",
    "reset.code_shown": "Was shown a one-time code for somebody’s new passphrase",
    "passphrase.set": "Set a new passphrase",
    "person.joined": "Joined two registrations of one person",
    "person.separated": "Separated two registrations again",
    "identity.opened": "Saw whose case it is, for a reason",
    "policy.violated": "A browser reported that a page broke the content policy",
}
"""Every event there is, with its words for a reader."""

NO_ONE = ""
COMMAND_LINE = "command-line"
_PLAIN = re.compile(r"[A-Za-z0-9_.:@/%~+-]{0,120}")


class Verdict(NamedTuple):
    """What checking the chain gave."""

    events: int
    head: str
    """Hash of the newest row."""
    broken_at: int | None
    """Number of the first row that does not follow from the one before, None when all do."""


def note(
    event: str, actor: Actor | None = None, subject: str = "", detail: str = "", address: str = ""
) -> None:
    """Write one event down.

    Args:
        event: one of ``EVENTS``.
        actor: who did it; None for a stranger or the command line.
        subject: the opaque id of what it was done to.
        detail: codes of the program, such as a role at a site.
        address: where a stranger came from; an actor brings their own.

    Raises:
        ValueError: a value could hold more than an id or a code; nothing is written.
    """
    who = actor.user_id if actor else NO_ONE
    where = (actor.address if actor else address).replace(" ", "-")
    said = Event(clock.instant(), event, who, subject, detail, where)
    if event not in EVENTS or not all(_PLAIN.fullmatch(value) for value in said):
        raise ValueError(f"{event} is no event, or one of its values is no id or code")
    with writing():
        line = audit_log.append(said)
    LOGGER.info(json.dumps({"n": line.n, **said._asdict(), "hash": line.hash}))


def copy_to(path: Path) -> None:
    """Add every event from now on to this file too, as a line of JSON.

    Raises:
        OSError: the file cannot be written.
    """
    handler = logging.FileHandler(path, encoding="utf-8")
    LOGGER.setLevel(logging.INFO)
    LOGGER.addHandler(handler)


def plain(value: object) -> str:
    """Return a value of an address as it may be written down: itself if it is an id."""
    text = str(value)
    return text if _PLAIN.fullmatch(text) else "not-an-id"


def page(actor: Actor, before: int | None, limit: int = 100) -> list[Line]:
    """Return a page of events, the newest first, for whoever may read them."""
    actor.require("audit.read")
    return audit_log.newest_lines(limit, before)


def names() -> dict[str, str]:
    """Return user id -> name of everyone who works here."""
    return accounts.names()


def verify() -> Verdict:
    """Follow the hashes from the first row to the newest."""
    count, head = 0, audit_log.FIRST
    for line in audit_log.from_the_first():
        count += 1
        if line.n != count or audit_log.hash_of(line.n, line.said, head) != line.hash:
            return Verdict(count, head, line.n)
        head = line.hash
    return Verdict(count, head, None)


def missing_from(copy: Path) -> list[int]:
    """Return the numbers of events in a kept copy (JSON lines) that the table has not or otherwise.

    Of lines with one number the last counts: a transaction that was taken back left the others.
    """
    kept = {line.n: line.hash for line in audit_log.from_the_first()}
    lines = [_read(text) for text in copy.read_text(encoding="utf-8").splitlines()]
    last = dict(line for line in lines if line)
    return sorted(n for n, hashed in last.items() if kept.get(n) != hashed)


def _read(text: str) -> tuple[int, str] | None:
    """Return number and hash of one line of a log, None for a line of another logger."""
    try:
        value = json.loads(text[text.index("{") :])
        return int(value["n"]), str(value["hash"])
    except (ValueError, KeyError, TypeError):
        return None
