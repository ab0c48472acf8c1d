"""Pulling: one page of a site's records after a cursor, in the order they were committed.

Also every record of one person, for a phone that has put them off.
"""

from typing import NamedTuple

from webapp.flow.actor import Actor
from webapp.flow.refusal import NotFound
from webapp.records.envelope import to_base64url
from webapp.store import installation, journal

LARGEST_PAGE = 500
LARGEST_BYTES = 4 * 1024 * 1024


class Page(NamedTuple):
    """Records ``start + 1`` to ``end`` of a site; ``head`` is the newest there is."""

    epoch: int
    start: int
    end: int
    head: int
    records: list[dict[str, object]]
    restart: int
    """1 when the reader's epoch is another: its cursor means nothing here."""


def epoch() -> int:
    """Return the epoch of this database."""
    return installation.epoch()


def page(actor: Actor, site: str, after: int, reader_epoch: int | None, limit: int) -> Page:
    """Return the next page for this reader.

    Args:
        actor: who reads; only sites where they hold a clinical role, and ``all``.
        site: the site, or ``all`` for the catalogue and the limits.
        after: number of the newest record the reader has, 0 for none.
        reader_epoch: the epoch that number belongs to; None reads as the present one.
        limit: most records in the page.

    Raises:
        NotFound: another site.
    """
    actor.require_site(site, "site", "record.pull")
    now_epoch = installation.epoch()
    head = journal.head(site)
    if reader_epoch not in (None, now_epoch):
        return Page(now_epoch, 0, 0, head, [], restart=1)
    entries = _bounded(journal.entries_after(site, after, min(limit, LARGEST_PAGE)))
    end = entries[-1].n if entries else after
    return Page(now_epoch, after, end, max(head, end), [_sent(e) for e in entries], restart=0)


def of_person(actor: Actor, person: str) -> list[dict[str, object]]:
    """Return every record of a person at this reader's sites, each with its site.

    Raises:
        NotFound: nothing is known of such a person at their sites.
    """
    stored = journal.entries_of_person(person)
    entries = [e for e in stored if actor.may_read(e.site, "record.pull")]
    if not entries:
        raise NotFound("person")
    return [{"site": entry.site, **_sent(entry)} for entry in entries]


def _bounded(entries: list[journal.Entry]) -> list[journal.Entry]:
    """Cut a page of unusually long records short, keeping at least one."""
    total = 0
    for index, entry in enumerate(entries):
        total += len(entry.payload)
        if total > LARGEST_BYTES and index:
            return entries[:index]
    return entries


def _sent(entry: journal.Entry) -> dict[str, object]:
    return {
        "n": entry.n,
        "p": to_base64url(entry.payload),
        "kid": entry.kid,
        "sig": to_base64url(entry.signature),
        "received_at": entry.received_at,
    }
