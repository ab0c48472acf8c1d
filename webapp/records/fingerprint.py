"""Eight words that stand for a key, for two people to compare by eye or aloud.

Each of the first eight bytes of a key's id picks one of 256 words, so the words carry 64 bits: to
make another key with the same words, somebody would try some 10^19 keys. The words differ from one
another in at least two letters and in their first four.
"""

import json
from pathlib import Path

COUNT = 8
WORDS: list[str] = json.loads(Path(__file__).with_name("words.json").read_bytes())


def words_of(kid: str) -> list[str]:
    """Return the eight words of a key.

    Args:
        kid: the key's id, 64 hexadecimal digits.
    """
    return [WORDS[byte] for byte in bytes.fromhex(kid)[:COUNT]]
