"""What the worklist shows: a person's fold as last computed, and one row for each eye."""

from collections.abc import Iterable
from typing import Any

from peewee import CharField, CompositeKey, IntegerField, TextField

from webapp.store.database import Row, insert, read, rows_among, rows_of, run


class PersonRow(Row):
    """One person: where they belong, words to find them by, and the fold as last computed."""

    person = CharField(primary_key=True)
    site = CharField()
    name = CharField(default="")
    village = CharField(default="")
    camp_code = CharField(default="")
    words = TextField(default="")
    listed_at = CharField(default="")
    """The site that lists this person under an earlier registration of theirs; else empty."""
    name_key = CharField(default="", index=True)
    """The name as likenesses compare it; empty until the lists were made, and then everybody's."""
    sound_key = CharField(default="", index=True)
    phone_key = CharField(default="", index=True)
    fold = TextField(default="")
    changes = IntegerField(default=0)
    """Raised with every record about this person, so that a slow fold cannot pass as fresh."""
    computed_for = CharField(default="")
    """What the fold was computed for (day, core, reference); empty when records came since."""

    class Meta:
        """Found by what the fold was computed for, at some sites: the lists ask each time."""

        indexes = ((("site", "computed_for"), False),)


class CaseRow(Row):
    """One eye of one person as the list shows it."""

    person = CharField()
    eye = CharField(1)
    site = CharField()
    listed_at = CharField(default="")
    """Of the person's row: beside it, so that lists need not look there."""
    state = CharField()
    state_why = TextField()
    since = CharField(null=True)
    stops = IntegerField()
    cautions = IntegerField()
    is_overdue = IntegerField()
    """1 while the order of this eye is late."""
    urgent = IntegerField(default=0)
    """Readings after surgery that cannot wait and that nobody answered."""
    follow = CharField(default="")
    """How it stands with its visits after surgery: due, overdue, lost; empty without one."""
    follow_due = CharField(default="")
    """What eyes that stand alike are listed by: a missed day that was agreed, then the day due."""
    operate_on = CharField(default="")
    """The day of the theatre's list that this eye is on; empty without one."""
    unchecked = IntegerField(default=0)
    """1 while a lens is on record as implanted with no check in theatre behind it, or another."""
    aside = IntegerField(default=0)
    """Boxes that were put aside in theatre and of which nobody said what became of them."""

    class Meta:
        """Listed by site and state, by what is urgent or due, and by the day of surgery."""

        primary_key = CompositeKey("person", "eye")
        indexes = (
            # Whole, so that counting and sorting twenty thousand reads nothing else.
            (("site", "state", "is_overdue", "listed_at", "since", "person"), False),
            (("urgent", "site"), False),
            (("follow", "site", "follow_due"), False),
            (("operate_on", "site"), False),
        )


_NEW_PERSON = {
    name: field.default
    for name, field in PersonRow._meta.fields.items()
    if field.default is not None
}


def sites_of(persons: Iterable[str]) -> dict[str, str]:
    """Return person -> site for those of these people that are registered."""
    return dict(rows_among("person, site", "person_row", "person", persons))


def register(person: str, site: str) -> None:
    """Make the row of a newly registered person."""
    insert("person_row", {**_NEW_PERSON, "person": person, "site": site})


def mark_changed(persons: Iterable[str]) -> None:
    """Note that records about these people came in; call in the transaction that stored them."""
    changed = "UPDATE person_row SET computed_for = '', changes = changes + 1 WHERE person = ?"
    for person in persons:
        run(changed, person)


def out_of_date(sites: Iterable[str], computed_for: str, limit: int) -> list[str]:
    """Return people of these sites whose fold was not computed for this, the changed ones first."""
    # Two ranges of an index, asked apart: databases read the whole table for an inequality.
    mine, made_for = PersonRow.site << list(sites), PersonRow.computed_for
    before = _some(mine & (made_for < computed_for), limit)
    return before + _some(mine & (made_for > computed_for), limit - len(before))


def changed(sites: Iterable[str], limit: int) -> list[str]:
    """Return people of these sites about whom records came in since their fold was computed."""
    # Days begin with a digit; a range again, since almost nobody has the empty text.
    return _some((PersonRow.site << list(sites)) & (PersonRow.computed_for < "0"), limit)


def _some(condition: Any, limit: int) -> list[str]:  # noqa: ANN401 - peewee's own
    query = PersonRow.select(PersonRow.person).where(condition)
    return [row[0] for row in rows_of(query.limit(limit))]


def alike(name_key: str, sound_key: str, phone_key: str) -> list[str]:
    """Return everybody who shares one of these keys, and who was not listed yet."""
    near = "SELECT person FROM person_row WHERE name_key = '' OR name_key = ? OR sound_key = ?"
    if not phone_key:
        return [row[0] for row in run(near, name_key, sound_key)]
    return [row[0] for row in run(f"{near} OR phone_key = ?", name_key, sound_key, phone_key)]


def alike_as_kept(person: str) -> list[str] | None:
    """Return the same for somebody by their own keys; None where these may not be of now."""
    keys = "SELECT name_key, sound_key, phone_key FROM person_row WHERE person = ?"
    kept = run(f"{keys} AND name_key <> '' AND computed_for <> ''", person)
    return alike(*kept[0]) if kept else None


def folds_of(persons: Iterable[str], computed_for: str) -> dict[str, str]:
    """Return person -> fold for those of these people whose fold was computed for this."""
    found = rows_among("person, computed_for, fold", "person_row", "person", persons)
    return {person: fold for person, made_for, fold in found if made_for == computed_for}


def find(person: str) -> PersonRow | None:
    """Return the row of one person."""
    return next(iter(read(PersonRow, "WHERE person = ?", person)), None)


def keep(row: PersonRow, columns: dict[str, str], cases: list[dict[str, object]]) -> None:
    """Keep a person's new fold and the rows of both eyes; call inside ``writing()``.

    Args:
        row: the person's row as read before their records were; nothing is kept when more
            records have come in since.
        columns: what to keep of the person.
        cases: the columns of both eyes.
    """
    still_true = (PersonRow.person == row.person) & (PersonRow.changes == row.changes)
    if PersonRow.update(columns).where(still_true).execute():
        CaseRow.delete().where(CaseRow.person == row.person).execute()
        for case in cases:
            listed_at = columns["listed_at"]
            CaseRow.create(person=row.person, site=row.site, listed_at=listed_at, **case)
