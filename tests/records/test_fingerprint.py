"""The words of a key: the list itself, and which byte picks which word."""

from itertools import combinations

import pytest

from tests.records.vectors import Case, read
from webapp.records.fingerprint import WORDS, words_of

VECTORS = read("fingerprint")["fingerprints"]


def edits(one: str, other: str) -> int:
    """Return the least number of letters to insert, drop or change (Levenshtein's distance)."""
    row = list(range(len(other) + 1))
    for i, left in enumerate(one, 1):
        above, row = row, [i]
        for j, right in enumerate(other, 1):
            row.append(min(above[j] + 1, row[-1] + 1, above[j - 1] + (left != right)))
    return row[-1]


class TestList:
    """What the words must be so that nobody takes one for another."""

    def test_a_word_for_each_byte(self) -> None:
        """256 words, each once, in the order of the alphabet."""
        assert len(WORDS) == 256
        assert sorted(set(WORDS)) == WORDS

    def test_short_and_plain(self) -> None:
        """Three to six letters of the English alphabet."""
        assert all(3 <= len(word) <= 6 and word.isascii() and word.islower() for word in WORDS)
        assert all(word.isalpha() for word in WORDS)

    def test_no_two_are_alike(self) -> None:
        """Two letters apart at least, and told apart by the first four."""
        close = [pair for pair in combinations(WORDS, 2) if edits(*pair) < 2]
        assert close == []
        assert len({word[:4] for word in WORDS}) == len(WORDS)


@pytest.mark.parametrize("case", VECTORS, ids=lambda case: str(case["name"]))
def test_each_byte_picks_its_word(case: Case) -> None:
    """By counting through the list by hand."""
    assert words_of(case["kid"]) == case["words"]
