"""The command ``adopt``: put a catalogue, limits or a vault model in force, in a person's name."""

import argparse
import json
import sys
from pathlib import Path
from typing import Any

from webapp import options
from webapp.at_server import at_the_desk, signed_in
from webapp.core import limits
from webapp.exchange_formats import catalogue_csv
from webapp.exchange_formats.catalogue_csv import Problem
from webapp.flow import reference, vault_model_file
from webapp.flow.refusal import Refused
from webapp.records.errors import BadRecord
from webapp.settings import Settings, SettingsMissing
from webapp.store import migrations
from webapp.store.addresses import BadAddress


class WrongTable(Exception):
    """A table in which something is to be corrected first."""

    def __init__(self, problems: list[Problem]) -> None:
        super().__init__(f"{len(problems)} errors")
        self.problems = problems


KINDS = {
    "catalogue": "catalogue.adopted",
    "limits": "limits.adopted",
    "vault-model": "vault_model.adopted",
}


def main(argv: list[str]) -> int:
    """Adopt what the file holds and return the exit code."""
    chosen = options.adopt().parse_args(argv)
    try:
        settings = Settings.from_environment()
        is_table = chosen.what == "catalogue" and chosen.file.suffix.lower() == ".csv"
        body = table_in(chosen) if is_table else body_in(chosen.file)
        if chosen.what == "limits":
            require_known_limits(body)
        if chosen.what == "vault-model":
            body = vault_model_file.body_of(body)
        with at_the_desk(settings):
            print(_adopted(chosen.what, body, chosen.who))
    except WrongTable as wrong:
        print(*wrong.problems, "Nothing was adopted.", sep="\n", file=sys.stderr)
        return 1
    except Refused as refusal:
        print(f"{refusal.field}: {refusal.message}".removeprefix(": "), file=sys.stderr)
        return 1
    except (SettingsMissing, BadAddress, BadRecord, migrations.WrongShape) as error:
        print(error, file=sys.stderr)
        return 1
    return 0


def body_in(path: Path) -> dict[str, Any]:
    """Return the JSON object in a file. Raises: Refused when there is none."""
    try:
        body = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise Refused("file.bad", f"{path} cannot be read: {error.strerror}.") from error
    except ValueError as error:
        raise Refused("file.bad", f"{path} is not JSON in UTF-8: {error}.") from error
    if not isinstance(body, dict):
        raise Refused("file.bad", f"{path} must hold one JSON object.")
    return body


def table_in(chosen: argparse.Namespace) -> dict[str, Any]:
    """Return the catalogue in a CSV file. Raises: Refused, or WrongTable with every error."""
    try:
        table = catalogue_csv.read(chosen.file.read_bytes())
    except OSError as error:
        raise Refused("file.bad", f"{chosen.file} cannot be read: {error.strerror}.") from error
    if table.problems:
        raise WrongTable(table.problems)
    title = chosen.title or chosen.file.stem
    return {"title": title, "demo": int(chosen.invented), "models": table.models}


def require_known_limits(body: dict[str, Any]) -> None:
    """Refuse a limit that no rule reads: every plan of every phone would stop at it."""
    values = body.get("values")
    unknown = limits.unusable(values) if isinstance(values, dict) else []
    if unknown:
        raise Refused(
            "limits.unknown",
            "these are no limits of this version, or have a value that they can't have: "
            f"{', '.join(unknown)}. "
            "Nothing was adopted; python3 -m webapp adopt --example limits prints every name.",
            "values",
        )


def _adopted(what: str, body: dict[str, Any], sign_in_name: str) -> str:
    actor, _ = signed_in(sign_in_name)
    record_id = reference.adopt(actor, KINDS[what], body)
    return f"In force: {what} {record_id[:12]}, adopted by {actor.name}."
