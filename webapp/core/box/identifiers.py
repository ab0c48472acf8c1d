"""Which GS1 application identifiers there are, and what may follow each.

An identifier of fixed length runs into the next one; the value of another ends at a separator.
Source: GS1 General Specifications, section 3 (from memory); the tests compare each identifier with
the table of an independent library.
"""

from collections import namedtuple

# first, last: the identifiers of one rule, of equal length. fixed: the digits of the value, 0 where
# it ends at a separator. longest: characters that it then may have.
Rule = namedtuple("Rule", ("first", "last", "fixed", "longest"))

RULES = (
    Rule("00", "00", 18, 18), Rule("01", "03", 14, 14), Rule("10", "10", 0, 20),
    Rule("11", "13", 6, 6), Rule("15", "17", 6, 6), Rule("20", "20", 2, 2),
    Rule("21", "22", 0, 20), Rule("235", "235", 0, 28), Rule("240", "243", 0, 30),
    Rule("250", "251", 0, 30), Rule("253", "255", 0, 30), Rule("30", "30", 0, 8),
    Rule("3100", "3699", 6, 6), Rule("37", "37", 0, 8), Rule("3900", "3959", 0, 18),
    Rule("400", "403", 0, 30), Rule("410", "417", 13, 13), Rule("420", "427", 0, 20),
    Rule("4300", "4333", 0, 90), Rule("7001", "7041", 0, 30), Rule("710", "717", 0, 20),
    Rule("7230", "7259", 0, 90), Rule("8001", "8043", 0, 90), Rule("8110", "8112", 0, 70),
    Rule("8200", "8200", 0, 70), Rule("90", "90", 0, 30), Rule("91", "99", 0, 90),
)  # fmt: skip

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
DIGITS = "0123456789"
# GS1's character set 82: what a value that ends at a separator is made of.
CHARACTERS = LETTERS + DIGITS + "!\"%&'()*+,-./:;<=>?_"


def rule_at(text: str) -> Rule | None:
    """Return the rule of the identifier that a text begins with; None if there is no such one."""
    for rule in RULES:
        head = text[: len(rule.first)]
        if len(head) == len(rule.first) and only(head, DIGITS) and rule.first <= head <= rule.last:
            return rule
    return None


def fits(rule: Rule, value: str) -> bool:
    """Return whether a value is one that its identifier allows."""
    if rule.fixed:
        return len(value) == rule.fixed and only(value, DIGITS)
    return 0 < len(value) <= rule.longest and only(value, CHARACTERS)


def only(text: str, allowed: str) -> bool:
    """Return whether a text is made of these characters alone."""
    return all([one in allowed for one in text])
