"""Computing each received plan again: the same records, catalogue and limits, on this machine.

A plan that comes out differently stops its case, whatever the reason: the phone ran other code,
or its data were touched, or the engine of one side is wrong. A plan of an older core is computed
with that core; one of a core that was never here can't be, and stops its case too.
"""

import json
from collections.abc import Callable, Iterable
from functools import partial
from typing import Any, NamedTuple

from webapp.core_bundle import core_sha256
from webapp.flow import kept_cores, reference
from webapp.flow.calculation import CoreFailed, as_entry, ask
from webapp.store import journal
from webapp.store.database import writing
from webapp.store.projections import plan_checks

AGREES = "agrees"
DIFFERS = "differs"
UNKNOWN_CORE = "unknown_core"
AT_ONCE = 50
SAME = "The same result."

Ask = Callable[[dict[str, Any]], dict[str, Any]]
"""A core's door: request in, answer out."""

ROUNDING_UNITS = 1
"""A recorded result may differ by one unit of its last digit between two engines."""

ROUNDED = ("predicted", "observed")
"""Parts that hold what was calculated: of a lens to order, and of one in the eye."""

FELLOW = ("D15", "D08.eyes", "D24")
"""Findings that compare both eyes: the fellow eye's records are not part of a plan's evidence."""


class Check(NamedTuple):
    """What computing a plan again gave, against what the phone showed."""

    result: str
    """``agrees`` or ``differs``; ``unknown_core`` when its core is neither here nor kept."""
    text: str

    @property
    def is_good(self) -> bool:
        """Say whether the plan may be ordered as far as this goes."""
        return self.result == AGREES


def checks_of(person: str) -> dict[str, Check]:
    """Return record id -> check for each plan of a person."""
    return {
        record: Check(row.result, row.text) for record, row in plan_checks.of_person(person).items()
    }


def run_waiting(sites: Iterable[str], limit: int = AT_ONCE) -> None:
    """Make the checks that wait at these sites, up to a limit."""
    _run(plan_checks.waiting(sites, limit))


def run_waiting_of(person: str) -> None:
    """Make the checks that wait for one person."""
    rows = plan_checks.of_person(person)
    _run([record for record, row in rows.items() if row.result == plan_checks.WAITING])


def _run(records: list[str]) -> None:
    if not records:
        return
    found = journal.entries_by_id(records)
    made = {record: compare(json.loads(found[record].payload)) for record in records}
    with writing():
        for record, check in made.items():
            plan_checks.keep(record, check.result, check.text, core_sha256())


def compare(payload: dict[str, Any]) -> Check:
    """Compute the plan of a request or approval again, with its own core, and compare them."""
    shown, backup = payload["body"]["shown"], payload["body"].get("backup")
    core = shown["core"]
    if core == core_sha256():
        return _compared(shown, ask, "Computed again here with the same result.", backup)
    if kept_cores.is_kept(core):
        older = partial(kept_cores.ask, core)
        return _compared(
            shown, older, "An older calculation made this plan. It gives the same again here.",
            backup,
        )  # fmt: skip
    return Check(
        UNKNOWN_CORE,
        f"A calculation that was never at this base made this plan ({core[:12]}). Load the newest "
        f"app on that phone and decide again. By the calculation in use: {by_present_core(shown)}",
    )


def by_present_core(shown: dict[str, Any]) -> str:
    """Return in a sentence what the core in use gives for a plan, whichever core made it."""
    return _compared(shown, ask, SAME).text


def predicted_of(shown: dict[str, Any], lens: dict[str, Any]) -> dict[str, Any] | None:
    """Return what a plan promises of another lens, by the core that made it; None without it."""
    core = shown["core"]
    asked = ask if core == core_sha256() else partial(kept_cores.ask, core)
    try:
        found = asked({**_request_again(shown), "choice": lens})["shown"]
    except CoreFailed:
        return None
    return None if found is None else dict(found["predicted"])


def titles_now(shown: dict[str, Any]) -> dict[str, str]:
    """Return code -> title of what the core in use finds in a plan; none where it finds no way."""
    try:
        plan = ask(_request_again(shown))
    except CoreFailed:
        return {}
    return {finding["code"]: finding["title"] for finding in plan["findings"]}


def _compared(
    shown: dict[str, Any], asked: Ask, when_same: str, backup: dict[str, Any] | None = None
) -> Check:
    try:
        plan = asked(_request_again(shown))
    except CoreFailed as failure:
        return Check(DIFFERS, f"The plan cannot be computed here: {failure}.")
    again = plan["shown" if shown["lens"] is not None else "shown_without"]
    if again is None:
        why = "; ".join(finding["title"] for finding in plan["findings"][:3])
        return Check(DIFFERS, f"From the same records no lens can be shown here. {why}".strip())
    different = differences(shown, again)
    if different:
        return Check(DIFFERS, "Computed again here, these differ: " + ", ".join(different) + ".")
    if backup is not None and backup not in plan.get("backups", []):
        return Check(DIFFERS, "The back-up lens is none that this plan offers beside the chosen.")
    return Check(AGREES, when_same)


def _request_again(shown: dict[str, Any]) -> dict[str, Any]:
    # Absent from plans that were made before outcomes were recorded.
    fellow = shown.get("fellow")
    about_lens = [*shown["followups"], *shown["surgeries"]] if "implant" in shown else []
    named = [*shown["evidence"], *(fellow["records"] if fellow else []), *about_lens]
    evidence = journal.entries_by_id(named)
    return {
        "do": "exchange" if "implant" in shown else "plan",
        "entries": [as_entry(evidence[name]) for name in named],
        "reference": reference.as_adopted(
            shown["catalogue"], shown["limits"], shown.get("vault_model")
        ),
        "eye": shown["eye"],
        "today": shown["as_of"],
        "core": shown["core"],
        "choice": shown["lens"],
        # Absent from plans that were made before there was anything to choose here.
        "target": shown.get("target"),
        "surgical_change": shown.get("surgical_change"),
    }


def differences(shown: dict[str, Any], again: dict[str, Any]) -> list[str]:
    """Return the names of what differs between two SHOWNs by more than rounding."""
    plain = [
        name
        for name in sorted(shown.keys() | again.keys())
        if name not in (*ROUNDED, "findings") and shown.get(name) != again.get(name)
    ]
    return plain + _numbers_apart(shown, again) + _findings_apart(shown, again)


def _numbers_apart(shown: dict[str, Any], again: dict[str, Any]) -> list[str]:
    apart = []
    for part in ROUNDED:
        there, here = _numbers(shown.get(part)), _numbers(again.get(part))
        apart += [
            f"{part} {name}"
            for name in sorted(there.keys() | here.keys())
            if not _within_rounding(there.get(name), here.get(name))
        ]
    return apart


def _numbers(part: dict[str, Any] | None, path: str = "") -> dict[str, int | None]:
    """Return the numbers of a part, and of the parts in it, by name."""
    found: dict[str, int | None] = {}
    for name, value in (part or {}).items():
        inner = (
            _numbers(value, f"{path}{name} ") if isinstance(value, dict) else {path + name: value}
        )
        found.update(inner)
    return found


def _within_rounding(there: int | None, here: int | None) -> bool:
    if there is None or here is None:
        return there is here
    return abs(there - here) <= ROUNDING_UNITS


def _findings_apart(shown: dict[str, Any], again: dict[str, Any]) -> list[str]:
    there, here = _bound_findings(shown), _bound_findings(again)
    return [f"finding {code} ({level})" for code, level in sorted(there ^ here)]


def _bound_findings(shown: dict[str, Any]) -> set[tuple[str, str]]:
    return {
        (finding["code"], finding["level"])
        for finding in shown["findings"]
        if not finding["code"].startswith(FELLOW)
    }
