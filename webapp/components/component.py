"""One package that somebody else made, as the list names it."""

from typing import NamedTuple
from urllib.parse import quote

REQUIRED = "required"
EXCLUDED = "excluded"
"""Used to build or test only; nothing of it runs at the hospital."""


class Component(NamedTuple):
    """A package in one version."""

    ecosystem: str
    """``pypi`` or ``npm``, as a package URL calls it."""
    name: str
    version: str
    scope: str
    licence: str | None
    """As the package says it: an SPDX expression if ``is_expression``, otherwise its own words."""
    is_expression: bool
    sha512: str | None
    """Of the archive it came as, in hex, where the lock file holds it."""
    needs: tuple[str, ...]
    """Package URLs of what it needs itself."""

    @property
    def url(self) -> str:
        """The package URL, which also is its name inside the list."""
        return url_of(self.ecosystem, self.name, self.version)


def url_of(ecosystem: str, name: str, version: str) -> str:
    """Return a package URL.

    Source:
        Package-URL specification (ECMA-427), types ``pypi`` (lower case, ``-`` for ``_``) and
        ``npm`` (the scope is a namespace, its ``@`` written as %40).
    """
    path = name.lower().replace("_", "-") if ecosystem == "pypi" else quote(name, safe="/")
    return f"pkg:{ecosystem}/{path}@{quote(version, safe='')}"
