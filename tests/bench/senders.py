"""Eight phones with what each has to send, and what each fetches."""

import json
from collections.abc import Callable
from time import perf_counter
from typing import Any, NamedTuple

from tests.bench import camp_records, hospital
from tests.bench.bare_sqlite import Row
from tests.bench.camp_records import CampPhone, Signed
from tests.browser.base import Base
from webapp.flow import clock

# Three camps, and two people who share the phones of theirs.
PHONES = (
    ("ambler", "saltpan"), ("ambler", "north-quay"), ("quill", "upper-glen"),
    ("ambler", "saltpan"), ("ambler", "north-quay"), ("quill", "upper-glen"),
    ("ambler", "saltpan"), ("ambler", "north-quay"),
)  # fmt: skip
BATCH = 100
PAGE = 200


class Batch(NamedTuple):
    """What one phone sends at once: records, the request's body, and the same as rows."""

    site: str
    records: list[Signed]
    body: bytes
    rows: list[Row]


class Answer(NamedTuple):
    """The answer to one request, how long it took, and what it must be."""

    took_ms: float
    body: bytes
    is_right: Callable[[dict[str, Any]], bool]

    def check(self) -> None:
        """Raise RuntimeError unless the answer is right: only whole work is worth timing."""
        if not self.is_right(json.loads(self.body)):
            raise RuntimeError(f"not the answer expected: {self.body[:500]!r}")


class Sender:
    """One phone, what it has to send, and its connection once it has signed in."""

    def __init__(self, phone: CampPhone, sign_in_name: str, batches: list[Batch]) -> None:
        self.site = phone.site
        self.batches = batches
        self._sign_in_name = sign_in_name
        self.client: hospital.Client

    def sign_in(self, base: Base) -> None:
        """Open the connection."""
        self.client = hospital.Client(base, self._sign_in_name)

    def head(self) -> int:
        """Return the number of the newest record of this phone's site."""
        return int(self.client.get(page_address(self.site, 0, 1))["head"])

    def push(self, batches: list[Batch]) -> list[Answer]:
        """Send batches one after the other."""
        answers = []
        for batch in batches:
            began_s = perf_counter()
            body = self.client.post("/sync/push", batch.body)
            answers.append(Answer(ms_since(began_s), body, is_all_stored))
        return answers

    def pull(self, span: tuple[int, int]) -> list[Answer]:
        """Fetch the records after the first number of a span up to the second, in pages."""
        answers = []
        for after in range(*span, PAGE):
            count = min(PAGE, span[1] - after)
            began_s = perf_counter()
            body = self.client.fetch(page_address(self.site, after, count))
            answers.append(Answer(ms_since(began_s), body, is_page_of(after, count)))
        return answers


def enrol_all(rows: int, reference: dict[str, Any]) -> list[Sender]:
    """Return the phones with ``rows`` records between them, enrolled in the open database."""
    heads: dict[str, int] = {}
    senders = []
    for place, (sign_in_name, site) in enumerate(PHONES):
        phone = hospital.enrolled(sign_in_name, site)
        count = rows * (place + 1) // len(PHONES) - rows * place // len(PHONES)
        made = camp_records.records(phone, reference, count)
        batches = [
            batch_of(site, made[at : at + BATCH], heads) for at in range(0, len(made), BATCH)
        ]
        senders.append(Sender(phone, sign_in_name, batches))
    return senders


def batch_of(site: str, made: list[Signed], heads: dict[str, int]) -> Batch:
    """Return records as one request, and as rows numbered on from the site's head."""
    body = json.dumps({"records": [record.envelope() for record in made]}).encode()
    now = clock.instant()
    rows = []
    for record in made:
        heads[site] = heads.get(site, 0) + 1
        rows.append(row_of(record, heads[site], now))
    return Batch(site, made, body, rows)


def row_of(record: Signed, n: int, now: str) -> Row:
    """Return a record as a row of the journal."""
    payload = record.payload
    return (
        record.id, payload["site"], n, payload["kind"], payload["person"], payload["eye"],
        payload["author"], payload["key"], record.payload_bytes, record.signature, now,
    )  # fmt: skip


def page_address(site: str, after: int, limit: int) -> str:
    """Return the address of a page of a site's records."""
    return f"/sync/pull?site={site}&after={after}&limit={limit}"


def is_all_stored(answer: dict[str, Any]) -> bool:
    """Say whether every record of a push was stored."""
    return all(receipt["result"] == "stored" for receipt in answer["receipts"])


def is_page_of(after: int, count: int) -> Callable[[dict[str, Any]], bool]:
    """Return what says whether a page holds exactly the records after a number."""
    wanted = list(range(after + 1, after + count + 1))
    return lambda answer: [record["n"] for record in answer["records"]] == wanted


def ms_since(began_s: float) -> float:
    """Return the time since a moment of ``perf_counter`` [ms]."""
    return (perf_counter() - began_s) * 1000.0
