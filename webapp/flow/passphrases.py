"""Hashing passphrases with Argon2id, slowly for a thief and never more than two at once."""

import threading
import unicodedata
from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from webapp.flow import guessable
from webapp.flow.refusal import Refused

SHORTEST = 12
LONGEST = 256

# The usual floor for Argon2id: 2 passes over 19 MiB in one lane (RFC 9106 describes the function).
_hasher = PasswordHasher(time_cost=2, memory_cost=19 * 1024, parallelism=1)
_two_at_once = threading.BoundedSemaphore(2)


def hash_new(passphrase: str, field: str = "passphrase", about: tuple[str, ...] = ()) -> str:
    """Return the hash to keep for a new passphrase.

    Args:
        passphrase: as typed; pasted is as good.
        field: what a refusal points at.
        about: names that it may not be made of, such as the owner's.

    Raises:
        Refused: it is too short, too long, or among the first that somebody would try.
    """
    if len(passphrase) < SHORTEST:
        raise Refused(
            "passphrase.short",
            f"The passphrase has {len(passphrase)} characters; at least {SHORTEST} are needed. "
            "Several unrelated words are easy to remember.",
            field,
        )
    if len(passphrase) > LONGEST:
        raise Refused("passphrase.long", f"At most {LONGEST} characters.", field)
    if guessable.is_guessable(composed(passphrase), about):
        raise Refused(
            "passphrase.guessable",
            "This passphrase would be among the first that somebody tries. Take several words that "
            "have nothing to do with each other or with you.",
            field,
        )
    with _two_at_once:
        return _hasher.hash(composed(passphrase))


def matches(kept_hash: str | None, passphrase: str) -> bool:
    """Say whether the passphrase belongs to the hash; as slow when there is no account."""
    with _two_at_once:
        try:
            _hasher.verify(kept_hash or dummy_hash(), composed(passphrase[: LONGEST + 1]))
        except (VerificationError, InvalidHashError):
            return False
    return kept_hash is not None


def composed(passphrase: str) -> str:
    """Return a passphrase in Unicode's composed form (NFC), as a phone checks it offline.

    Keyboards differ in how they write an accent, and people change keyboards.
    """
    return unicodedata.normalize("NFC", passphrase)


def needs_new_hash(kept_hash: str) -> bool:
    """Say whether the hash was made with other parameters than today's."""
    return _hasher.check_needs_rehash(kept_hash)


@cache
def dummy_hash() -> str:
    """Return a hash that no passphrase is kept under, for sign-in names that do not exist."""
    return _hasher.hash("no account has this passphrase")
