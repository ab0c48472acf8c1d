"""One-time codes for a new passphrase: one an account, taken away as it is used."""

from peewee import BigIntegerField, CharField

from webapp.store.database import Row


class ResetCode(Row):
    """The one-time code with which an account gets a new passphrase; only its hash is kept."""

    user = CharField(primary_key=True)
    hash = CharField(64)
    until_s = BigIntegerField()


def keep(user: str, hashed: str, until_s: int) -> None:
    """Keep the one code of an account in place of an earlier one."""
    ResetCode.delete().where(ResetCode.user == user).execute()
    ResetCode.create(user=user, hash=hashed, until_s=until_s)


def use(user: str, hashed: str, now_s: int) -> bool:
    """Take the code of an account away if it is this one and still runs; say whether it was."""
    this = (ResetCode.user == user, ResetCode.hash == hashed, ResetCode.until_s >= now_s)
    return bool(ResetCode.delete().where(*this).execute())
