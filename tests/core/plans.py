"""Plans as tests ask for them, and their findings by code."""

import json
from typing import Any

from tests.core import records
from tests.core_runtime import Core

Plan = dict[str, Any]


def planned(core: Core, entries: list[records.Entry], **more: object) -> Plan:
    """Return the plan of the right eye."""
    asked = json.dumps(records.plan_request(entries, **more))
    found: Plan = json.loads(core("door", "call", asked)["value"])
    return found


def with_models(*models: dict[str, object]) -> dict[str, object]:
    """Return the reference records with other lens models."""
    catalogue = {"id": "a" * 64, "body": {"title": "Demo", "demo": 1, "models": list(models)}}
    return {**records.REFERENCE, "catalogue": catalogue}


def code_levels(plan: Plan) -> dict[str, str]:
    """Return the level of each finding by its code."""
    return {found["code"]: found["level"] for found in plan["findings"]}


def finding(plan: Plan, code: str) -> dict[str, Any]:
    """Return the finding of a code."""
    return next(one for one in plan["findings"] if one["code"] == code)
