"""The append-only journal: the only module that inserts a record, and nothing here changes one.

Each site has a dense counter, raised in the transaction that stores the record, so the order in
which a reader meets records is the order in which they were committed, and ``head = count``
proves that nothing is missing.
"""

from collections.abc import Iterable
from typing import Any, NamedTuple

from peewee import BlobField, CharField, IntegerField

from webapp.store.database import Row, database, insert, rows_among, run


class Journal(Row):
    """One stored record: the signed bytes as received, and what they are looked up by."""

    id = CharField(64, primary_key=True)
    site = CharField()
    n = IntegerField()
    kind = CharField()
    person = CharField(null=True)
    eye = CharField(null=True)
    author = CharField()
    kid = CharField(64)
    payload = BlobField()
    signature = BlobField()
    received_at = CharField()

    class Meta:
        """Cursor order per site is unique; a person's records lie together."""

        indexes = ((("site", "n"), True), (("person",), False))


class SiteCounter(Row):
    """The number of the newest record of a site."""

    site = CharField(primary_key=True)
    head = IntegerField()


class Superseded(Row):
    """A record that another one has replaced or made void."""

    target = CharField(64, primary_key=True)
    by = CharField(64)


class Entry(NamedTuple):
    """A record to append, or as stored (then ``n`` is its number at its site)."""

    id: str
    site: str
    n: int
    kind: str
    person: str | None
    eye: str | None
    author: str
    kid: str
    payload: bytes
    signature: bytes
    received_at: str


SELECT = (
    "SELECT id, site, n, kind, person, eye, author, kid, payload, signature, received_at"
    " FROM journal"
)
PAGE = f"{SELECT} WHERE site = ? AND n > ? ORDER BY n LIMIT ?"
OF_PERSON = f"{SELECT} WHERE person = ? ORDER BY site, n"
OF_KIND = f"{SELECT} WHERE site = ? AND kind = ? ORDER BY n DESC"
INSERT = (
    "INSERT INTO journal (id, site, n, kind, person, eye, author, kid, payload, signature,"
    " received_at) VALUES ({marks})"
)


def append(entries: list[Entry]) -> list[Entry]:
    """Store verified records in order and return them numbered; call inside ``writing()``."""
    heads = heads_for_update(sorted({entry.site for entry in entries}))
    numbered = []
    for entry in entries:
        heads[entry.site] += 1
        numbered.append(entry._replace(n=heads[entry.site]))
    _insert(numbered)
    for site, head in heads.items():
        run("UPDATE site_counter SET head = ? WHERE site = ?", head, site)
    return numbered


def _insert(entries: list[Entry]) -> None:
    # executemany on the driver's own cursor: three times as fast as building one large INSERT.
    marks = ", ".join([database.param] * len(Entry._fields))
    database.cursor().executemany(INSERT.format(marks=marks), entries)


def heads_for_update(sites: Iterable[str]) -> dict[str, int]:
    """Return the newest number of each site, making a counter for a site that has none yet."""
    known: dict[str, int] = dict(rows_among("site, head", "site_counter", "site", sites))
    for site in sites:
        if site not in known:
            insert("site_counter", {"site": site, "head": 0})
            known[site] = 0
    return known


def head(site: str) -> int:
    """Return the number of the newest record of a site, 0 when it has none."""
    rows = run("SELECT head FROM site_counter WHERE site = ?", site)
    return int(rows[0][0]) if rows else 0


def newest_receipt(site: str) -> str | None:
    """Return when the newest record of a site came in, by this server's clock then."""
    rows = run("SELECT received_at FROM journal WHERE site = ? AND n = ?", site, head(site))
    return str(rows[0][0]) if rows else None


def entries_after(site: str, n: int, limit: int) -> list[Entry]:
    """Return up to ``limit`` records of a site newer than number ``n``, oldest first."""
    return [_entry(row) for row in run(PAGE, site, n, limit)]


def entries_of_person(person: str) -> list[Entry]:
    """Return every record about a person, in order of arrival."""
    return [_entry(row) for row in run(OF_PERSON, person)]


def newest_of_kinds(site: str, kinds: Iterable[str]) -> list[Entry]:
    """Return the newest record of each of these kinds at a site."""
    found = []
    for kind in kinds:
        found += [_entry(row) for row in run(f"{OF_KIND} LIMIT 1", site, kind)]
    return found


def entries_of_kind(site: str, kind: str) -> list[Entry]:
    """Return every record of a kind at a site, newest first."""
    return [_entry(row) for row in run(OF_KIND, site, kind)]


def entries_by_id(ids: Iterable[str]) -> dict[str, Entry]:
    """Return the stored records among these ids."""
    columns = ", ".join(Entry._fields)
    return {row[0]: _entry(row) for row in rows_among(columns, "journal", "id", ids)}


def numbers_of(ids: Iterable[str]) -> dict[str, int]:
    """Return id -> number at its site of those of these ids that are stored."""
    return dict(rows_among("id, n", "journal", "id", ids))


def _entry(row: tuple[Any, ...]) -> Entry:
    # PostgreSQL's driver gives bytes as a view; made anew once, since a page reads hundreds.
    *before, payload, signature, received_at = row
    return Entry._make((*before, bytes(payload), bytes(signature), received_at))


def superseded(ids: Iterable[str]) -> dict[str, str]:
    """Return target id -> id of the record that replaced it or made it void."""
    return dict(rows_among('target, "by"', "superseded", "target", ids))


def superseded_by(record_id: str) -> str | None:
    """Return the record that replaced a record or made it void; None while it counts."""
    return superseded({record_id}).get(record_id)


def supersede(pairs: dict[str, str]) -> None:
    """Mark targets as replaced by their successors; call inside ``writing()``."""
    for target, by in pairs.items():
        run('INSERT INTO superseded (target, "by") VALUES (?, ?)', target, by)


class Fact(NamedTuple):
    """What the rules need to know of a stored record that another one names."""

    id: str
    kind: str
    site: str
    person: str | None
    eye: str | None
    author: str


def facts(ids: Iterable[str]) -> dict[str, Fact]:
    """Return what is known of the stored records among these ids."""
    columns = ", ".join(Fact._fields)
    return {row[0]: Fact(*row) for row in rows_among(columns, "journal", "id", ids)}
