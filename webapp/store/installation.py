"""The installation itself: its epoch, its shape, its sites."""

from peewee import BigIntegerField, CharField, IntegerField

from webapp.store.database import Row, run


class Installation(Row):
    """The single row that describes this database."""

    epoch = BigIntegerField()
    """Seconds since 1970, which outgrow 32 bits in 2038."""
    shape = IntegerField()
    core = CharField(64, default="")


class Site(Row):
    """A place with its own journal order: the base hospital or a camp."""

    id = CharField(primary_key=True)
    title = CharField()
    position = IntegerField()


def epoch() -> int:
    """Return the epoch: raised when an older copy is restored, so that phones offer all again."""
    return int(run("SELECT epoch FROM installation")[0][0])


def raise_epoch(now_s: int) -> int:
    """Raise the epoch after a restore and return it.

    Args:
        now_s: seconds since 1970, so that two databases never share an epoch by accident.
    """
    raised = max(epoch() + 1, now_s)
    Installation.update(epoch=raised).execute()
    return raised


def add_site(site: str, title: str) -> None:
    """Add a site, or give a known one this title."""
    if not Site.update(title=title).where(Site.id == site).execute():
        Site.create(id=site, title=title, position=Site.select().count())


def site_titles() -> dict[str, str]:
    """Return site id -> title, in the order they were added."""
    return dict(run("SELECT id, title FROM site ORDER BY position"))
