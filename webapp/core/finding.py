"""A finding: what was noticed, why it matters here, and what to do about it."""

from collections import namedtuple

# fixed: 1 when no reason can override a stop. cause: the group under which a screen folds it.
Finding = namedtuple(
    "Finding", ("rule", "code", "level", "fixed", "cause", "title", "text", "do", "records")
)
LEVELS = ("stop", "caution", "note")


def stop(code: str, cause: str, title: str, text: str, do: str, records: list[str]) -> Finding:
    """Return a stop that a surgeon may override in writing."""
    return Finding(rule_of(code), code, "stop", 0, cause, title, text, do, records)


def fixed_stop(
    code: str, cause: str, title: str, text: str, do: str, records: list[str]
) -> Finding:
    """Return a stop that nobody may override: the data must be put right."""
    return Finding(rule_of(code), code, "stop", 1, cause, title, text, do, records)


def caution(code: str, cause: str, title: str, text: str, do: str, records: list[str]) -> Finding:
    """Return a caution, which a surgeon acknowledges by name."""
    return Finding(rule_of(code), code, "caution", 0, cause, title, text, do, records)


def note(code: str, cause: str, title: str, text: str, do: str, records: list[str]) -> Finding:
    """Return a note, which asks for nothing."""
    return Finding(rule_of(code), code, "note", 0, cause, title, text, do, records)


def rule_of(code: str) -> str:
    """Return the rule that a code belongs to: "D03" of "D03.low"."""
    return code.split(".", 1)[0]


def ordered(findings: list[Finding]) -> list[Finding]:
    """Return findings with the worst level first, then by code and records."""
    return sorted(
        findings, key=lambda found: (LEVELS.index(found.level), found.code, found.records)
    )


def as_json(found: Finding) -> dict[str, object]:
    """Return a finding as it crosses the door."""
    return {
        "rule": found.rule,
        "code": found.code,
        "level": found.level,
        "fixed": found.fixed,
        "cause": found.cause,
        "title": found.title,
        "text": found.text,
        "do": found.do,
        "records": sorted(found.records),
    }


def to_answer_for(findings: list[Finding]) -> list[Finding]:
    """Return the stops and cautions: what an approval must have shown and answered."""
    return [found for found in findings if found.level != "note"]
