"""What a phone keeps and makes without the network, each ``yield`` a place where it may be killed.

The steps are those of ``static/store/journal.js``, in their order.
"""

from collections.abc import Generator
from datetime import timedelta
from typing import Any, NamedTuple

from tests.simulation import base
from tests.simulation.phone_store import MERGED, PhoneStore, PutOff, Row
from webapp.records.signing import DeskKey

SPLIT = "person.split"


class Ask(NamedTuple):
    """A request to the base."""

    what: str
    asked: dict[str, Any]


Task = Generator[Ask | None, dict[str, Any] | None, None]


class Sizes(NamedTuple):
    """How much a phone sends and fetches at once."""

    batch: int
    page: int


class RecordsOfPhone:
    """A phone, its owner, its database, and what is made and read on it without the network."""

    def __init__(self, name: str, role: str, sites: list[str], key: DeskKey) -> None:
        self.name = name
        self.role = role
        self.sites = sites
        self.key = key
        self.kid = key.kid
        self.store = PhoneStore()
        self.sizes = Sizes(100, 200)
        self.skew_s = 0
        self.renounced: list[str] = []
        """Ids of the keys that it gave up."""
        self.keeping = 0
        """Records that are being kept now, whose chain nobody ends meanwhile."""
        self.saved: set[str] = set()
        """Ids of records that this phone said were saved."""
        self.acknowledged: set[tuple[str, str]] = set()
        """(epoch, id) of every receipt that arrived and said stored or known."""

    def use_key(self, key: DeskKey) -> None:
        """Sign with another key from now on."""
        self.key, self.kid = key, key.kid

    def wall(self) -> str:
        """Return this phone's own idea of the time."""
        moment = base.Now.read() + timedelta(seconds=self.skew_s)
        return moment.strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3] + "Z"

    def entries(self, person: str) -> list[Row]:
        """Return what is known here of a person, without what the base refused."""
        rows = self.store.records.values()
        return [row for row in rows if row.payload["person"] == person and row.state == "ok"]

    def registrations(self, person: str) -> list[str]:
        """Return a registration and all it is joined with here, the earliest first."""
        rows = [row for row in self.store.records.values() if row.state == "ok"]
        ended = {row.payload["body"]["target"] for row in rows if row.payload["kind"] == SPLIT}
        pairs = [
            {row.payload["person"], row.payload["body"]["other"]}
            for row in rows
            if row.payload["kind"] == MERGED and row.id not in ended
        ]
        found, before = {person}, 0
        while len(found) > before:
            before = len(found)
            found = found.union(*(pair for pair in pairs if pair & found))
        return sorted(found)

    def about(self, person: str) -> list[Row]:
        """Return what is known here of a person, under each of their registrations."""
        return [row for one in self.registrations(person) for row in self.entries(one)]

    def make_row(self, said: dict[str, Any], head: tuple[int, str | None]) -> Row:
        """Return a record as the next one after ``head``."""
        payload = {
            "v": 1, "site": self.sites[0], "author": base.actor(self.name).user_id,
            "role": self.role, "key": self.kid, "seq": head[0] + 1, "prev": head[1],
            "wall": self.wall(), "replaces": None, "reason": None, **said,
        }  # fmt: skip
        envelope = base.sealed(payload, self.key)
        record_id, _ = base.open_row(envelope)
        return Row(
            record_id, self.kid, payload["seq"], payload["site"], envelope, payload, None, "ok"
        )

    def keep(self, said: dict[str, Any]) -> Task:
        """Make, sign and keep one record."""
        self.keeping += 1
        try:
            while True:
                head = self.store.heads.get(self.kid, (0, None))
                yield None
                row = self.make_row(said, head)
                yield None
                if self.store.keep(row):
                    break
        except PutOff:
            return
        finally:
            self.keeping -= 1
        yield None
        if row.id in self.store.records:
            self.saved.add(row.id)
