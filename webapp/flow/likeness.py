"""How alike two registrations are, in points of a hundred, with the reasons in words.

The weights are this project's own judgement, not published: they are set so that a shared name
alone, or a shared phone of two relatives, stays below ``HIGH``, and a shared name with a shared
birth does not. Names are compared by sound with the American Soundex code (U.S. National Archives,
"The Soundex Indexing System", from memory), which knows Latin letters only; other scripts must be
spelled alike.
"""

import unicodedata
from typing import Any, NamedTuple

SHOWN, HIGH = 45, 60
"""From the first on a pair is shown; from the second on nothing is ordered before an answer."""
CODES = {
    letter: digit
    for digit, letters in enumerate(("BFPV", "CGJKQSXZ", "DT", "L", "MN", "R"), start=1)
    for letter in letters
}
SILENT = "HW"
PHONE_DIGITS = 6
YEARS_APART = 3
K_NEAR_CD, K_FAR_CD, WIDTH_NEAR_UM = 25, 150, 100


class Known(NamedTuple):
    """What is known of one person: the body of the registration, and the eyes' readings."""

    person: str
    site: str
    body: dict[str, Any]
    eyes: dict[str, dict[str, int]]
    """Eye -> ``k_cD`` (mean of both meridians) and ``width_um``, each where it was measured."""


class Likeness(NamedTuple):
    """Points of a hundred, and why."""

    points: int
    reasons: list[str]


def keys_of(body: dict[str, Any]) -> dict[str, str]:
    """Return the columns by which somebody like a person is found: a likeness shares one of them.

    Args:
        body: of a registration.
    """
    words = plain(body["name"])
    return {
        "name_key": " ".join(words),
        "sound_key": " ".join(sorted(soundex(word) for word in words)),
        "phone_key": digits(body["phone"]),
    }


def likeness(one: Known, other: Known) -> Likeness:
    """Return how alike two registrations are."""
    found = [*_name(one.body, other.body), *_birth(one.body, other.body),
             *_contact(one.body, other.body), *_eyes(one, other)]  # fmt: skip
    points = max(0, min(100, sum(points for points, _ in found)))
    return Likeness(points, [reason for _, reason in found])


def _name(one: dict[str, Any], other: dict[str, Any]) -> list[tuple[int, str]]:
    here, there = plain(one["name"]), plain(other["name"])
    if here == there:
        return [(40, "the same name")]
    sounds = [sorted(soundex(word) for word in name) for name in (here, there)]
    if all(all(codes) for codes in sounds) and sounds[0] == sounds[1]:
        return [(30, "a name that sounds alike")]
    return []


def _birth(one: dict[str, Any], other: dict[str, Any]) -> list[tuple[int, str]]:
    if one["birth_date"] and one["birth_date"] == other["birth_date"]:
        return [(25, "the same date of birth")]
    apart = abs(_year(one) - _year(other))
    if apart == 0:
        return [(15, "the same year of birth")]
    if apart == 1:
        return [(8, "years of birth next to each other")]
    return [(-20, "years of birth far apart")] if apart > YEARS_APART else []


def _year(body: dict[str, Any]) -> int:
    return int(body["birth_year"] or body["birth_date"][:4])


def _contact(one: dict[str, Any], other: dict[str, Any]) -> list[tuple[int, str]]:
    found = []
    if plain(one["village"]) == plain(other["village"]):
        found.append((10, "the same village or street"))
    here, there = digits(one["phone"]), digits(other["phone"])
    if len(here) >= PHONE_DIGITS and here == there:
        found.append((30, "the same phone"))
    if {one["sex"], other["sex"]} == {"F", "M"}:
        found.append((-30, "another sex"))
    return found


def _eyes(one: Known, other: Known) -> list[tuple[int, str]]:
    """Say how alike the corneas are; the far one of two eyes decides against a likeness."""
    both = [(one.eyes[eye], other.eyes[eye]) for eye in sorted(one.eyes.keys() & other.eyes.keys())]
    steps = [abs(a["k_cD"] - b["k_cD"]) for a, b in both if "k_cD" in a and "k_cD" in b]
    widths = [abs(a["width_um"] - b["width_um"]) for a, b in both
              if "width_um" in a and "width_um" in b]  # fmt: skip
    if steps and max(steps) > K_FAR_CD:
        return [(-30, "corneas of another curvature")]
    if steps and widths and max(steps) <= K_NEAR_CD and max(widths) <= WIDTH_NEAR_UM:
        return [(20, "corneas of the same curvature and width")]
    return []


def plain(text: str) -> list[str]:
    """Return the words of a name without case, accents, marks or their order."""
    letters = unicodedata.normalize("NFKD", text)
    bare = "".join(one for one in letters if not unicodedata.combining(one))
    return sorted("".join(c if c.isalnum() else " " for c in bare.casefold()).split())


def digits(phone: str | None) -> str:
    """Return the digits of a phone number."""
    return "".join(one for one in phone or "" if one.isdigit())


def soundex(word: str) -> str:
    """Return the American Soundex code of a word in Latin letters, else an empty text.

    The first letter, then the codes of the consonants after it; letters of one code side by side,
    or with H or W between them, count once; filled or cut to four characters.
    """
    letters = word.upper()
    if not (letters.isascii() and letters.isalpha()):
        return ""
    code, last = letters[0], CODES.get(letters[0])
    for letter in letters[1:]:
        digit = CODES.get(letter)
        if digit is not None and digit != last:
            code += str(digit)
        if letter not in SILENT:
            last = digit
    return (code + "000")[:4]
