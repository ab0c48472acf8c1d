"""One person's file: the core's fold of all their records, with the names of who did what."""

import hashlib
import json
import unicodedata
from collections.abc import Mapping
from typing import Any, NamedTuple

from webapp.core_bundle import core_sha256
from webapp.flow import clock, folding, follow_ups, recheck
from webapp.flow.actor import Actor
from webapp.flow.calculation import as_entry, ask
from webapp.flow.folding import fold_entries
from webapp.flow.recheck import Check
from webapp.flow.refusal import NotFound
from webapp.store import accounts, installation, journal
from webapp.store.database import writing
from webapp.store.journal import Entry
from webapp.store.projections import cases

Fold = dict[str, Any]
EYES = ("R", "L")
AT_ONCE = 50
"""People whose folds are kept in one transaction."""


class PersonFile(NamedTuple):
    """Everything the pages show about one person; both eyes together."""

    person: str
    site: str
    site_title: str
    fold: Fold
    """The core's answer to ``fold``: person, history, eyes R and L."""
    checks: dict[str, Check]
    """Record id of each plan request and approval -> its check."""
    names: dict[str, str]
    """User id -> name as shown, for every author in the file."""
    payloads: dict[str, dict[str, Any]]
    """Record id -> signed payload, for every record of this person."""
    received: dict[str, str]
    """Record id -> instant at which the server received it."""


def person_file(actor: Actor, person: str) -> PersonFile:
    """Return the person's file as of now; NotFound when unknown or at another site."""
    row = _row(actor, person)
    recheck.run_waiting_of(person)
    refresh([person])
    entries = journal.entries_of_person(person)
    return PersonFile(
        person,
        row.site,
        installation.site_titles().get(row.site, row.site),
        current_fold(person),
        recheck.checks_of(person),
        accounts.names(),
        {entry.id: json.loads(entry.payload) for entry in entries},
        {entry.id: entry.received_at for entry in entries},
    )


def plan_now(
    actor: Actor, person: str, eye: str, shown: Mapping[str, Any] | None = None
) -> dict[str, Any]:
    """Return the core's PLAN for this eye from the records and reference held now.

    Args: as ``working_now``.
    """
    return _ask_now(actor, person, eye, {"do": "plan", **_wishes(shown)})


def working_now(
    actor: Actor, person: str, eye: str, shown: Mapping[str, Any] | None
) -> dict[str, Any]:
    """Return the core's working for this eye from the records and reference held now.

    Args:
        actor: who asks.
        person: whose.
        eye: "R" or "L".
        shown: what an approval showed, whose lens and aims are worked out; None for the
            recommended lens.
    """
    return _ask_now(actor, person, eye, {"do": "working", **_wishes(shown)})


def _wishes(shown: Mapping[str, Any] | None) -> dict[str, Any]:
    wishes = {"choice": shown["lens"] if shown else None}
    for name in ("target", "surgical_change"):
        wishes[name] = shown.get(name) if shown else None
    return wishes


def _ask_now(actor: Actor, person: str, eye: str, asked: dict[str, Any]) -> dict[str, Any]:
    _row(actor, person)
    return ask(
        {
            "entries": [as_entry(entry) for entry in journal.entries_of_person(person)],
            "reference": folding.in_force(),
            "eye": eye,
            "today": clock.today(),
            "core": core_sha256(),
            **asked,
        }
    )


def current_fold(person: str) -> Fold:
    """Return the fold of a person's records as they are now, from what is kept if still true."""
    row = cases.find(person)
    if row is not None and row.computed_for == _computed_for(folding.in_force()):
        kept: Fold = json.loads(row.fold)
        return kept
    return fold_entries(journal.entries_of_person(person), folding.in_force())


def refresh_sites(sites: frozenset[str]) -> None:
    """Bring the folds of everybody at these sites up to date."""
    computed_for = _computed_for(folding.in_force())
    while people := cases.out_of_date(sites, computed_for, AT_ONCE):
        refresh(people)


def refresh(people: list[str]) -> None:
    """Fold these people again where records have come in since, and keep the results."""
    in_force = folding.in_force()
    computed_for = _computed_for(in_force)
    fresh = []
    for person in people:
        row = cases.find(person)
        if row is not None and row.computed_for != computed_for:
            entries = journal.entries_of_person(person)
            fold = fold_entries(entries, in_force)
            columns = {**_found_by(entries), "fold": json.dumps(fold), "computed_for": computed_for}
            fresh.append((row, columns, [_case_columns(fold, entries, eye) for eye in EYES]))
    with writing():
        for row, columns, eyes in fresh:
            cases.keep(row, columns, eyes)


def words_of(text: str) -> list[str]:
    """Return the words of a search or of a name as they are compared, in any script."""
    return unicodedata.normalize("NFC", text).casefold().split()


def _row(actor: Actor, person: str) -> cases.PersonRow:
    row = cases.find(person)
    if row is None or not actor.may_read(row.site):
        raise NotFound("person")
    return row


def _computed_for(in_force: dict[str, Any]) -> str:
    """Name everything but the records that a fold depends on: day, core, reference records."""
    ids = [in_force[name]["id"] if in_force[name] else "-" for name in ("catalogue", "limits")]
    vault = in_force["vault_models"] + in_force["withdrawn_vault_models"]
    models = "".join(model["id"] for model in vault)
    models += json.dumps([in_force["revoked_keys"], in_force["recalled_cores"]])
    ids.append(hashlib.sha256(models.encode()).hexdigest()[:16])
    return "|".join([clock.today(), core_sha256(), *ids])


def _found_by(entries: list[Entry]) -> dict[str, str]:
    """Return what the list shows and finds a person by, from their live registration."""
    registrations = [entry for entry in entries if entry.kind == "person.registered"]
    replaced = journal.superseded([entry.id for entry in registrations])
    live = [entry for entry in registrations if entry.id not in replaced]
    if not live:
        return {}
    body = json.loads(live[-1].payload)["body"]
    phone = "".join(character for character in body["phone"] or "" if character.isdigit())
    texts = [body["name"], body["village"], body["camp_code"], body["phone"] or "", phone]
    shown = {name: body[name] for name in ("name", "village", "camp_code")}
    return {**shown, "words": " ".join(words_of(" ".join(texts)))}


def _case_columns(fold: Fold, entries: list[Entry], eye: str) -> dict[str, object]:
    this = fold["eyes"][eye]
    received = [entry.received_at for entry in entries if entry.eye == eye]
    levels = [finding["level"] for finding in this["findings"]]
    schedule = follow_ups.calling_for(this["surgeries"])
    return {
        "urgent": sum(one["open"] for one in this["urgent"]),
        "follow": schedule["state"] if schedule else "",
        "follow_due": schedule["due"] if schedule else "",
        "eye": eye,
        "state": this["state"],
        "state_why": this["state_why"] or "",
        "since": max(received, default=None),
        "stops": levels.count("stop"),
        "cautions": levels.count("caution"),
        "is_overdue": int(this["overdue"] is not None),
    }
