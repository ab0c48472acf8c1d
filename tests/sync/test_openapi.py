"""The description of the JSON door is true: no route without it, and the real app keeps to it.

schemathesis makes requests from the description, right ones and wrong ones, and sends them to the
real app with a surgeon's session; each answer must be one that the description promises.
"""

import json
import re
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.generation import GenerationMode
from schemathesis.specs.openapi import checks

from tests.hospital import Client, Hospital
from webapp.flow import accounts
from webapp.sync import routes

DOCUMENT = json.loads(Path(routes.__file__).with_name("openapi.json").read_text(encoding="utf-8"))
OPERATIONS = [(path, method.upper()) for path, item in DOCUMENT["paths"].items() for method in item]
CHECKED = [
    not_a_server_error, checks.status_code_conformance, checks.content_type_conformance,
    checks.response_schema_conformance, checks.response_headers_conformance,
    checks.negative_data_rejection,
]  # fmt: skip
EXAMPLES = 40


def takes_input(path: str, method: str) -> bool:
    """Say whether anything wrong could be sent: a header of free text cannot be wrong."""
    operation = DOCUMENT["paths"][path][method.lower()]
    in_query = any(one.get("in") == "query" for one in operation.get("parameters", []))
    return "requestBody" in operation or in_query


RUNS = [
    (path, method, mode)
    for path, method in OPERATIONS
    for mode in (GenerationMode.POSITIVE, GenerationMode.NEGATIVE)
    if mode is GenerationMode.POSITIVE or takes_input(path, method)
]


def test_every_route_is_described(hospital: Hospital) -> None:
    """And nothing is described that is not there."""
    rules = {
        (re.sub(r"<(?:[^:>]*:)?([^>]+)>", r"{\1}", rule.rule), method)
        for rule in hospital.app.url_map.iter_rules()
        if rule.rule.startswith(("/auth/", "/sync/"))
        for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}
    }
    assert rules == set(OPERATIONS)


@pytest.mark.hypothesis
class TestTheRealApp:
    """Keeps to the description, whatever is sent."""

    @pytest.mark.parametrize(("path", "method", "mode"), RUNS)
    def test_answers_as_described(
        self,
        hospital: Hospital,
        monkeypatch: pytest.MonkeyPatch,
        path: str,
        method: str,
        mode: GenerationMode,
    ) -> None:
        """No fault, no status, type or form that is not promised, nothing wrong taken."""
        # The session is ours to bring: wrong ones are tried in tests/access.
        schema = schemathesis.openapi.from_dict({**DOCUMENT, "security": []})
        operation = schema[path][method]
        monkeypatch.setattr(accounts.throttle.__class__, "check", lambda *_: None)
        client = hospital.client("verrill")
        seen: list[int] = []
        strategy = operation.as_strategy(generation_mode=mode)

        @settings(max_examples=EXAMPLES, suppress_health_check=list(HealthCheck))
        @given(case=strategy)
        def run(case: Any) -> None:  # noqa: ANN401 - the library's own case
            seen.append(_send(hospital, client, case))

        run()
        assert seen


def _send(hospital: Hospital, client: Client, case: Any) -> int:  # noqa: ANN401 - as above
    """Send one case with the session's own token; check the answer; return its status."""
    if case.operation.path == "/auth/sign-out":
        client.sign_in("verrill")
    if "X-CSRFToken" in (case.headers or {}):
        case.headers["X-CSRFToken"] = client.csrf
    cookie = client.flask.get_cookie("lampside")
    assert cookie is not None
    # The library reads what a server of its own process answers without unpacking it.
    plain = {"Accept-Encoding": "identity"}
    response = case.call(app=hospital.app, headers=plain, cookies={"lampside": cookie.value})
    case.validate_response(response, checks=CHECKED)
    return int(response.status_code)
