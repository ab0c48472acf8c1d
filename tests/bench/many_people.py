"""Thousands of people in a server's own database: copies of the demo's, each under other ids.

A copy keeps what its original has: records, plans computed again, orders and the fold as last
computed. Only ids differ, of people and of records, so nobody could verify a copy; pages, lists and
trees have the size that they would have. The originals stay as they are.
"""

import hashlib
import re
from collections.abc import Callable, Iterator
from typing import Any

from webapp.flow.kept_folds import words_of
from webapp.flow.likeness import digits, keys_of
from webapp.store import database

RECORD_ID = re.compile(r"\b[0-9a-f]{64}\b")
PHONE = re.compile(r'"phone": ?(?:null|"[^"]*")')
DONE = ("declined", "cancelled", "followed")
"""States of an eye that waits for nothing."""
COPIED = ("person_row", "case_row", "journal", "plan_check", "order_line")
RUNNING = {"journal": ("n", 100_000), "plan_check": ("position", 0), "order_line": ("number", 0)}
"""Columns that must not come twice, with what is added beyond the numbers that are there."""
PEOPLE_A_TRANSACTION = 500

Row = dict[str, Any]
Person = dict[str, list[Row]]
"""Table -> the rows of one person."""


def fill(open_eyes: int) -> int:
    """Copy people until so many eyes wait for something; return how many people were added.

    Args:
        open_eyes: how many eyes that wait for something there shall be, originals included. Every
            fold in the open database must be up to date, and its server stopped.
    """
    originals = people_of_all()
    missing = open_eyes - sum(map(open_of, originals))
    made = 0
    for part in _in_parts(copies(originals, missing)):
        with database.writing():
            for table in COPIED:
                _insert(table, [row for person in part for row in person[table]])
        made += len(part)
    # What a database does by itself in its first hour.
    database.run("ANALYZE")
    return made


def people_of_all() -> list[Person]:
    """Return every person in the open database with the rows that are theirs."""
    people = [person for (person,) in database.run("SELECT person FROM person_row")]
    return [{table: _rows_of(table, person) for table in COPIED} for person in people]


def _rows_of(table: str, person: str) -> list[Row]:
    found = database.database.execute_sql(
        f"SELECT * FROM {table} WHERE person = {database.database.param}",  # noqa: S608 - from above
        (person,),
    )
    names = [column[0] for column in found.description]
    return [dict(zip(names, row, strict=True)) for row in found.fetchall()]


def open_of(person: Person) -> int:
    """Return how many eyes of a person wait for something."""
    return sum(row["state"] not in DONE for row in person["case_row"])


def copies(originals: list[Person], open_eyes: int) -> Iterator[Person]:
    """Yield copies of these people in turn, until so many eyes wait for something."""
    number = 0
    while open_eyes > 0:
        number += 1
        for place, original in enumerate(originals):
            if open_eyes > 0:
                open_eyes -= open_of(original)
                yield copy(original, number, number * len(originals) + place)


def copy(original: Person, number: int, place: int) -> Person:
    """Return a person once more, every id that is theirs changed alike in every row.

    Args:
        original: whom to copy.
        number: of this copy among those of the same person, from 1.
        place: among all copies.
    """
    old = original["person_row"][0]["person"]
    new = f"0193a5c0-0000-7000-9000-{place:012x}"
    mine = {row["id"] for row in original["journal"]}
    renamed = {one: hashlib.sha256(f"{one}/{number}".encode()).hexdigest() for one in mine}

    name, other = original["person_row"][0]["name"], name_of(place)
    # Whoever shares a phone may be the same person.
    phone = f"0555 9{place:07}"

    def again(text: str) -> str:
        changed = text.replace(old, new).replace(name, other)
        changed = PHONE.sub(f'"phone":"{phone}"', changed)
        return RECORD_ID.sub(lambda found: renamed.get(found[0], found[0]), changed)

    made = {
        table: [_renumbered(table, _changed(row, again), number) for row in rows]
        for table, rows in original.items()
    }
    for row in made["person_row"]:
        words = [*words_of(row["words"]), *words_of(other), digits(phone)]
        row |= {"words": " ".join(words), **keys_of({"name": other, "phone": phone})}
    return made


def name_of(place: int) -> str:
    """Return a name that neither is nor sounds like another copy's: nobody is like somebody."""
    return " ".join(_word(part) for part in divmod(place, len(SOUNDS) ** 3))


SOUNDS = ("b", "d", "l", "m", "r", "k")
"""Consonants that American Soundex tells apart."""


def _word(number: int) -> str:
    """Return a word of which each digit to the base of ``SOUNDS`` is a syllable."""
    word = ""
    for _ in range(3):
        number, digit = divmod(number, len(SOUNDS))
        word += f"a{SOUNDS[digit]}"
    return word.capitalize()


def _changed(row: Row, again: Callable[[str], str]) -> Row:
    """Return a row with its ids changed, inside a payload too; signatures stay as they are."""
    return {
        name: again(value)
        if isinstance(value, str)
        else again(bytes(value).decode()).encode()
        if name == "payload"
        else value
        for name, value in row.items()
    }


def _renumbered(table: str, row: Row, number: int) -> Row:
    """Return a row whose running number belongs to this copy alone."""
    if table not in RUNNING:
        return row
    column, beyond = RUNNING[table]
    return {**row, column: row[column] + beyond + number * A_COPY}


A_COPY = 10_000
"""Numbers set aside for one copy of everybody: more than the demo's records of one site."""


def _in_parts(people: Iterator[Person]) -> Iterator[list[Person]]:
    part: list[Person] = []
    for person in people:
        part.append(person)
        if len(part) == PEOPLE_A_TRANSACTION:
            yield part
            part = []
    yield part


def _insert(table: str, rows: list[Row]) -> None:
    if not rows:
        return
    marks = ", ".join([database.database.param] * len(rows[0]))
    statement = f"INSERT INTO {table} ({', '.join(rows[0])}) VALUES ({marks})"  # noqa: S608 - as above
    database.database.cursor().executemany(statement, [list(row.values()) for row in rows])
