"""Passphrases that are tried first: few letters over and over, a run of keys, a known word, a name.

Rules instead of a list of leaked ones: such lists hold hardly anything of twelve characters that is
not one of these. From memory, not from a published list.
"""

import re

FEWEST_KINDS = 5
"""Of letters; ``aaaaaabbbbbb`` has two."""
MOST_OF_IT = 0.75
"""A known word or name may not make up more than this share."""
RUN = 4
"""How many neighbours in a row count as a run of keys."""

ROWS = ("abcdefghijklmnopqrstuvwxyz", "01234567890", "qwertyuiop", "asdfghjkl", "zxcvbnm",
        "qwertzuiop", "azertyuiop", "qazwsxedcrfvtgbyhnujmikolp",
        "1q2w3e4r5t6y7u8i9o0p")  # fmt: skip
WORDS = (
    "password", "passphrase", "passwort", "motdepasse", "letmein", "welcome", "iloveyou", "admin",
    "administrator", "changeme", "secret", "sunshine", "princess", "football", "baseball",
    "superman", "batman", "dragon", "monkey", "master", "shadow", "trustno1", "whatever",
    "lampside", "hospital", "surgeon", "optometrist", "doctor", "eyecamp", "ophthalmology",
    "correcthorsebatterystaple", "default", "login", "guest", "summer", "winter", "spring",
    "autumn", "january", "february", "december", "monday", "friday",
)  # fmt: skip
SWAPS = str.maketrans("01345$@!", "oleassai")
_NOT_WORD = re.compile(r"[\W_]+")


def is_guessable(passphrase: str, about: tuple[str, ...] = ()) -> bool:
    """Say whether a passphrase of the right length is made of what is tried first.

    Args:
        passphrase: in composed form.
        about: names of the owner.
    """
    folded, swapped = (
        _NOT_WORD.sub("", text)
        for text in (passphrase.casefold(), passphrase.casefold().translate(SWAPS))
    )
    if len(set(folded)) < FEWEST_KINDS or _repeats(folded):
        return True
    names = [_NOT_WORD.sub("", part) for name in about for part in name.casefold().split()]
    known = [*WORDS, *(name for name in names if len(name) >= RUN)]
    return any(_share_left(form, known) <= 1 - MOST_OF_IT for form in (folded, swapped))


def _repeats(text: str) -> bool:
    """Say whether a text is one short piece over and over."""
    return any(text == (text[:size] * len(text))[: len(text)] for size in range(1, len(text) // 2))


def _share_left(text: str, known: list[str]) -> float:
    """Return the share of a text that is left without known words, runs of keys and numbers."""
    left = text
    for word in sorted(known, key=len, reverse=True):
        left = left.replace(word, " ")
    left = re.sub(r"\d", "", _without_runs(left)).replace(" ", "")
    return len(left) / len(text) if text else 0.0


def _without_runs(text: str) -> str:
    for row in (*ROWS, *(row[::-1] for row in ROWS)):
        for size in range(len(row), RUN - 1, -1):
            for start in range(len(row) - size + 1):
                text = text.replace(row[start : start + size], " ")
    return text
