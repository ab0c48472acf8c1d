"""What a phone keeps, and the few transactions that change it: the model of ``static/store``.

Each method is one transaction: it happens whole or not at all. ``tests/vectors/phone_model.json``
holds the browser's code and this file to the same answers.
"""

import re
from typing import Any, NamedTuple

from webapp.records.signing import DeskKey

REGISTERED, MERGED = "person.registered", "person.merged"
NOT_YET = re.compile(
    r"(chain\.gap|key\.waiting|(person|compared|joined|target|reference|evidence|request|question|decision"
    r"|approval|order|seen|reading|implant|asked|label|check|theatre_check|explants|aside"
    r"|backup_of|instead_of)\.unknown)"
)
"""The base's codes for "what this rests on is not here yet"."""


class Row(NamedTuple):
    """One stored record."""

    id: str
    kid: str
    seq: int
    site: str
    envelope: dict[str, str]
    payload: dict[str, Any]
    received: int | None
    state: str
    """``ok`` or ``refused``."""
    received_at: str | None = None
    """When the base took it, by the base's clock; not known from a receipt alone."""


class PageRefused(Exception):
    """The page has a gap in its numbers; nothing of it was stored."""


class PutOff(Exception):
    """The person's records lie at the base only; nothing is recorded of them here."""


class PhoneStore:
    """One phone's database."""

    def __init__(self) -> None:
        self.epoch: str | None = None
        self.cursors: dict[str, int] = {}
        self.heads: dict[str, tuple[int, str]] = {}
        self.records: dict[str, Row] = {}
        self.outbox: dict[str, tuple[str, str | None]] = {}
        """Id -> state (``waiting`` or ``refused``) and the base's code."""

        self.next_key: DeskKey | None = None
        """The key that is to follow, kept before the base hears of it."""

        self.given_up: str | None = None
        """The id of the key that was given up, until the base has closed it."""

        self.put_off: dict[str, int] = {}
        """Whose records lie at the base only, and how many newer ones were passed over since."""

        self.aside: set[tuple[str, int]] = set()
        """(site, number) of records of a page that could not be relied on."""

    def copy(self) -> "PhoneStore":
        """Return another phone's database that holds the same."""
        other = PhoneStore()
        other.epoch, other.next_key = self.epoch, self.next_key
        other.given_up = self.given_up
        for name in ("cursors", "heads", "records", "outbox", "put_off"):
            setattr(other, name, dict(getattr(self, name)))
        return other

    def keep(self, row: Row) -> bool:
        """Keep a new record, its place in the chain and its outbox entry; False if it has none."""
        if row.id in self.records:
            return True
        if row.payload["person"] in self.put_off:
            raise PutOff
        if self.heads.get(row.kid, (0, ""))[0] != row.seq - 1:
            return False
        self.records[row.id] = row
        self.outbox[row.id] = ("waiting", None)
        self.heads[row.kid] = (row.seq, row.id)
        return True

    def take_next_key(self, old: str) -> DeskKey:
        """Sign with the next key from now on, and remember the old one until it is closed."""
        if self.next_key is None:
            raise ValueError("no key was made to follow")
        taken, self.next_key, self.given_up = self.next_key, None, old
        return taken

    def note_epoch(self, epoch: str) -> bool:
        """Note the base's life; in another one, read and offer everything again."""
        if self.epoch == epoch:
            return False
        known, self.epoch = self.epoch, epoch
        if known is None:
            return False
        self.cursors.clear()
        self.aside.clear()
        self.put_off.clear()
        for row in list(self.records.values()):
            self.records[row.id] = row._replace(received=None, received_at=None)
            if row.state == "ok" and row.id not in self.outbox:
                self.outbox[row.id] = ("waiting", None)
        return True

    def store_page(self, page: dict[str, Any]) -> bool:
        """Store a page with its cursor if it joins on, and say whether it did."""
        start, rows = page["from"], page["records"]
        if [row.received for row in rows] != list(range(start + 1, page["to"] + 1)):
            raise PageRefused
        if self.epoch != page["epoch"] or self.cursors.get(page["site"], 0) != start:
            return False
        for row in rows:
            self.take_in(page["site"], row)
        self.cursors[page["site"]] = page["to"]
        return True

    def take_in(self, site: str, row: Row) -> None:
        """Store a record of a page, or set it aside where its chain here does not fit it."""
        person = row.payload["person"]
        if person in self.put_off and row.payload["kind"] != REGISTERED:
            self.put_off[person] += 1
            return
        if self._misfit(row):
            self.aside.add((site, int(row.received or 0)))
            return
        self.records[row.id] = row
        if self.outbox.get(row.id, ("waiting", None))[0] != "waiting":
            # The base took it after all: it is offered once more for its receipt.
            self.outbox[row.id] = ("waiting", None)

    def _misfit(self, row: Row) -> bool:
        same = {one.seq: one for one in self.records.values() if one.kid == row.kid}
        here, before = same.get(row.seq), same.get(row.seq - 1)
        if here is not None and here.id != row.id:
            return True
        return before is not None and before.id != row.payload["prev"]

    def keep_receipt(self, receipt: dict[str, Any], epoch: str) -> None:
        """Take one receipt: what is acknowledged leaves the outbox, what is refused stays.

        What the base said in an earlier life changes nothing.
        """
        row = self.records.get(receipt["id"])
        if row is None or epoch != self.epoch:
            return
        if receipt["result"] != "refused":
            self.outbox.pop(row.id, None)
            self.records[row.id] = row._replace(state="ok", received=receipt["n"])
            return
        waits = is_not_yet(receipt)
        if row.id in self.outbox:
            self.outbox[row.id] = ("waiting" if waits else "refused", receipt["code"])
        self.records[row.id] = row._replace(state="ok" if waits else "refused")

    def try_again(self, record_id: str) -> None:
        """Let a refused record be sent once more."""
        if record_id in self.outbox:
            self.outbox[record_id] = ("waiting", None)
        if record_id in self.records:
            self.records[record_id] = self.records[record_id]._replace(state="ok")

    def sendable(self, sites: list[str]) -> list[Row]:
        """Return what waits, in chain order; of each chain what lies before a foreign site."""
        waiting = [
            self.records[one] for one, (state, _) in self.outbox.items() if state == "waiting"
        ]
        stopped, found = set(), []
        for row in sorted(waiting, key=lambda row: (row.kid, row.seq)):
            if row.site not in sites:
                stopped.add(row.kid)
            if row.kid not in stopped:
                found.append(row)
        return found


def is_not_yet(receipt: dict[str, Any]) -> bool:
    """Say whether a refusal is only a matter of order, so that the record waits on."""
    return receipt["result"] == "refused" and bool(NOT_YET.fullmatch(receipt["code"] or ""))
