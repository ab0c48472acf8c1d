"""The folds of people as they are kept: read where they are still true, made again where not."""

import hashlib
import json
import unicodedata
from collections.abc import Iterable
from typing import Any

from webapp.core_bundle import core_sha256
from webapp.flow import clock, folding, follow_ups, joined, likeness
from webapp.flow.folding import fold_entries
from webapp.store import journal
from webapp.store.database import writing
from webapp.store.journal import Entry
from webapp.store.projections import cases

Fold = dict[str, Any]
EYES = ("R", "L")
UNCHECKED = (
    "theatre.unchecked", "theatre.other_lens", "theatre.after_stop", "theatre.not_to_be",
    "theatre.unanswered",
)  # fmt: skip
"""Findings that say that no check in theatre stands behind an implanted lens, or a word against."""
AT_ONCE = 50
"""People whose folds are kept in one transaction."""


def current_fold(person: str) -> Fold:
    """Return the fold of a person's records as they are now, from what is kept if still true."""
    row = cases.find(person)
    if row is not None and row.computed_for == _computed_for(folding.in_force()):
        kept: Fold = json.loads(row.fold)
        return kept
    return fold_entries(joined.entries_of(person), folding.in_force())


def current_folds(people: Iterable[str]) -> dict[str, Fold]:
    """Return person -> fold as ``current_fold`` gives it, for all of these people at once."""
    wanted = list(people)
    kept = cases.folds_of(wanted, _computed_for(folding.in_force()))
    return {
        person: json.loads(kept[person]) if person in kept else current_fold(person)
        for person in wanted
    }


def refresh_sites(sites: frozenset[str]) -> None:
    """Bring the folds of everybody at these sites up to date."""
    while not refresh_some(sites):
        pass


def refresh_for_a_list(sites: frozenset[str]) -> None:
    """Bring the folds up to date about whom records came in, and some that are of another day.

    After midnight, and after an update, every fold is of before then: a list that made all of them
    again first would keep its reader waiting for minutes. ``webapp.catching_up`` makes the rest.
    """
    while people := cases.changed(sites, AT_ONCE):
        refresh(people)
    refresh_some(sites)


def refresh_some(sites: frozenset[str]) -> bool:
    """Bring a few folds of these sites up to date; return whether all of them are now."""
    people = cases.out_of_date(sites, _computed_for(folding.in_force()), AT_ONCE)
    refresh(people)
    return len(people) < AT_ONCE


def is_up_to_date(sites: frozenset[str]) -> bool:
    """Say whether every fold of these sites is of today, this core and this reference."""
    return not cases.out_of_date(sites, _computed_for(folding.in_force()), 1)


def refresh(people: list[str]) -> None:
    """Fold these people again where records have come in since, and keep the results."""
    if not people:
        return
    in_force = folding.in_force()
    computed_for = _computed_for(in_force)
    fresh = []
    for person in people:
        row = cases.find(person)
        if row is not None and row.computed_for != computed_for:
            entries = joined.entries_of(person)
            fold = fold_entries(entries, in_force)
            columns = {
                **_found_by(row, entries),
                "fold": json.dumps(fold),
                "computed_for": computed_for,
            }
            fresh.append((row, columns, [_case_columns(fold, entries, eye) for eye in EYES]))
    with writing():
        for row, columns, eyes in fresh:
            cases.keep(row, columns, eyes)


def words_of(text: str) -> list[str]:
    """Return the words of a search or of a name as they are compared, in any script."""
    return unicodedata.normalize("NFC", text).casefold().split()


def _computed_for(in_force: dict[str, Any]) -> str:
    """Name everything but the records that a fold depends on: day, core, reference records."""
    ids = [in_force[name]["id"] if in_force[name] else "-" for name in ("catalogue", "limits")]
    vault = in_force["vault_models"] + in_force["withdrawn_vault_models"]
    models = "".join(model["id"] for model in vault)
    models += json.dumps([in_force["revoked_keys"], in_force["recalled_cores"]])
    ids.append(hashlib.sha256(models.encode()).hexdigest()[:16])
    return "|".join([clock.today(), core_sha256(), *ids])


def _found_by(row: cases.PersonRow, entries: list[Entry]) -> dict[str, str]:
    """Return what the list shows a person as, and every word that finds them.

    A person with two registrations is listed as the earlier one and found by the words of both.
    """
    live = standing_registrations(entries)
    mine = [entry for entry in live if entry.person == row.person]
    home = joined.home_of(row.person)
    listed_at = "" if home == row.person else cases.sites_of([home])[home]
    if not mine:
        return {"listed_at": listed_at}
    body = json.loads(mine[-1].payload)["body"]
    shown = {name: body[name] for name in ("name", "village", "camp_code")}
    texts = [text for entry in live for text in _texts(json.loads(entry.payload)["body"])]
    words = " ".join(words_of(" ".join(texts)))
    return {**shown, **likeness.keys_of(body), "listed_at": listed_at, "words": words}


def standing_registrations(entries: list[Entry]) -> list[Entry]:
    """Return the registrations among these records that no other one replaced."""
    found = [entry for entry in entries if entry.kind == "person.registered"]
    replaced = journal.superseded([entry.id for entry in found])
    return [entry for entry in found if entry.id not in replaced]


def _texts(body: dict[str, Any]) -> list[str]:
    """Return what a registration is searched by."""
    phone = "".join(character for character in body["phone"] or "" if character.isdigit())
    return [body["name"], body["village"], body["camp_code"], body["phone"] or "", phone]


def _case_columns(fold: Fold, entries: list[Entry], eye: str) -> dict[str, object]:
    this = fold["eyes"][eye]
    received = [entry.received_at for entry in entries if entry.eye == eye]
    levels = [finding["level"] for finding in this["findings"]]
    theatre = this["theatre"]
    schedule = follow_ups.calling_for(this["surgeries"])
    return {
        "urgent": sum(one["open"] for one in this["urgent"]),
        "follow": schedule["state"] if schedule else "",
        "follow_due": follow_ups.place_of(schedule) if schedule else "",
        "unchecked": int(any(one["code"] in UNCHECKED for one in this["findings"])),
        "operate_on": theatre["listed"]["operate_on"] if theatre and theatre["listed"] else "",
        "aside": sum(one["answer"] is None for one in this["aside"]),
        "eye": eye,
        "state": this["state"],
        "state_why": this["state_why"] or "",
        "since": max(received, default=None),
        "stops": levels.count("stop"),
        "cautions": levels.count("caution"),
        "is_overdue": int(this["overdue"] is not None),
    }
