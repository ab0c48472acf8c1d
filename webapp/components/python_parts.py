"""The Python packages that are installed and that this program needs, found by their metadata."""

import re
from collections.abc import Iterable
from importlib.metadata import Distribution, PackageNotFoundError, distribution

from webapp.components.component import EXCLUDED, REQUIRED, Component, url_of

OWN = "lampside"
BUILDS_WITH = "assets"
"""The extra whose packages only build the browser's files."""

# PEP 508: a name, extras in brackets, versions, and after a semicolon when it is needed.
_NEED = re.compile(r"\s*([A-Za-z0-9._-]+)\s*(?:\[([^\]]*)\])?[^;]*(?:;(.*))?")
_EXTRA = re.compile(r"extra\s*==\s*['\"]([^'\"]+)['\"]")

Wanted = tuple[str, frozenset[str]]
"""A package and the extras of it that are asked for."""


def parts() -> list[Component]:
    """Return every package that is needed to serve, then those that only build the assets."""
    served = _closure(needs_of(distribution(OWN), frozenset()))
    built = _closure(needs_of(distribution(OWN), frozenset({BUILDS_WITH})))
    return [
        _component(one, extras, REQUIRED if name in served else EXCLUDED)
        for name, (one, extras) in sorted({**built, **served}.items())
    ]


def direct() -> list[str]:
    """Return the package URLs of what this program itself asks for."""
    found = _installed(needs_of(distribution(OWN), frozenset({BUILDS_WITH})))
    return sorted(_url(one) for one, _ in found)


def needs_of(found: Distribution, extras: frozenset[str]) -> list[Wanted]:
    """Return what a distribution asks for when it is installed with these extras."""
    wanted = []
    for line in found.requires or []:
        named = _NEED.fullmatch(line)
        if named is None:
            continue
        name, inner, marker = named.groups()
        if set(_EXTRA.findall(marker or "")) <= extras:
            wanted.append((name, frozenset(re.findall(r"[\w.-]+", inner or ""))))
    return wanted


def _installed(wanted: Iterable[Wanted]) -> list[tuple[Distribution, frozenset[str]]]:
    """Return those that are here: what a marker rules out on this machine was not installed."""
    found = []
    for name, extras in wanted:
        try:
            found.append((distribution(name), extras))
        except PackageNotFoundError:
            continue
    return found


def _closure(wanted: Iterable[Wanted]) -> dict[str, tuple[Distribution, frozenset[str]]]:
    known: dict[str, tuple[Distribution, frozenset[str]]] = {}
    waiting = _installed(wanted)
    while waiting:
        one, extras = waiting.pop()
        name = one.metadata["Name"].lower()
        before = known[name][1] if name in known else None
        if before is not None and extras <= before:
            continue
        known[name] = (one, extras | (before or frozenset()))
        waiting += _installed(needs_of(one, known[name][1]))
    return known


def _component(one: Distribution, extras: frozenset[str], scope: str) -> Component:
    expression = _line(one, "License-Expression")
    # One package may be asked for several times, under different conditions.
    needs = sorted({_url(inner) for inner, _ in _installed(needs_of(one, extras))})
    return Component(
        "pypi", one.metadata["Name"], one.version, scope, expression or licence_words(one),
        expression is not None, None, tuple(needs),
    )  # fmt: skip


def licence_words(one: Distribution) -> str | None:
    """Return how a distribution of before PEP 639 names its licence: by classifier or in a line."""
    classifiers = one.metadata.get_all("Classifier") or []
    named = [text.split(" :: ")[-1] for text in classifiers if text.startswith("License ::")]
    said = (_line(one, "License") or "").strip()
    # Some put the whole text of the licence there.
    return ", ".join(named) or (said if said and "\n" not in said else None)


def _line(one: Distribution, name: str) -> str | None:
    return next(iter(one.metadata.get_all(name) or []), None)


def _url(one: Distribution) -> str:
    return url_of("pypi", one.metadata["Name"], one.version)
