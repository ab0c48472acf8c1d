"""The reference in force and the fold of a person's records: what the rules of receiving may ask.

They stand apart from ``reference`` and ``casefile``, which write records under those rules.
"""

from collections.abc import Iterable
from typing import Any

from webapp.core_bundle import core_sha256
from webapp.flow import clock
from webapp.flow.calculation import as_entry, ask
from webapp.records.kinds import REFERENCE_SITE
from webapp.store import journal
from webapp.store.journal import Entry

KINDS = ("catalogue.adopted", "limits.adopted")
VAULT_MODEL = "vault_model.adopted"
WITHDRAWN = "vault_model.withdrawn"
ENDED = ("key.revoked", "core.recalled")


def in_force() -> dict[str, Any]:
    """Return the REFERENCE in force: catalogue and limits, or None; vault models, newest first."""
    entries = journal.newest_of_kinds(REFERENCE_SITE, KINDS)
    for kind in (VAULT_MODEL, WITHDRAWN, *ENDED):
        entries += journal.entries_of_kind(REFERENCE_SITE, kind)
    return ask({"do": "reference", "entries": [as_entry(entry) for entry in entries]})


def fold_entries(
    entries: list[Entry], reference: dict[str, Any], added: Iterable[dict[str, Any]] = ()
) -> dict[str, Any]:
    """Return the core's fold of one person's records, computed now.

    Args:
        entries: stored records.
        reference: as ``in_force`` gives it.
        added: records that are not stored yet, in the form the core takes.
    """
    return ask(
        {
            "do": "fold",
            "entries": [*(as_entry(entry) for entry in entries), *added],
            "reference": reference,
            "today": clock.today(),
            "core": core_sha256(),
        }
    )
