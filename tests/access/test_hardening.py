"""What an attacker tries without a right to anything: addresses, bodies, redirects, reports."""

import json

import pytest

from tests.access.test_audit_log import only
from tests.desk.conftest import TOKEN, Desk
from tests.hospital import PASSPHRASE, Hospital
from webapp.access import reports

SMOKE = [
    "/.git/config", "/.git/HEAD", "/.env", "/.svn/entries", "/.DS_Store", "/.well-known/openid",
    "/server-status", "/console", "/admin", "/debug", "/metrics", "/actuator/env", "/phpinfo.php",
    "/wp-login.php", "/backup.zip", "/lampside.db", "/desk_key.pem", "/secret_key",
    "/static/app.js", "/assets/", "/core/", "/docs", "/openapi.json", "/pyproject.toml",
    "/webapp/settings.py", "/%2e%2e/etc/passwd", "/app/..%2f..%2fdesk_key.pem",
]  # fmt: skip

# Ways to write another site's address that some browsers or parsers take for one.
ATTACKS = [
    "https://evil.example/", "//evil.example/", "/\\evil.example", "\\\\evil.example",
    "/desk/\\..\\evil", "javascript:alert(1)", "/desk/\r\nLocation: https://evil.example/",
    "https:evil.example", "/%2f/evil.example", "desk/", " /desk/", "/desk/\u202eevil", "",
]  # fmt: skip


class TestAddresses:
    """Nothing but what is meant."""

    @pytest.mark.parametrize("address", SMOKE)
    def test_nothing_lies_about(self, hospital: Hospital, address: str) -> None:
        """No listing, no configuration, no key, no console: 404, or the app's own shell."""
        answer = hospital.client().get(address)
        is_shell = address.startswith("/app/") and answer.status_code == 200
        assert answer.status_code == 404 or is_shell
        assert "PRIVATE KEY" not in answer.text and "Traceback" not in answer.text

    @pytest.mark.parametrize("method", ["TRACE", "CONNECT", "DEBUG", "TRACK", "PUT", "DELETE"])
    @pytest.mark.parametrize("address", ["/", "/sync/push", "/desk/sign-in"])
    def test_other_methods_are_refused(self, hospital: Hospital, method: str, address: str) -> None:
        """With 405; nothing that was sent comes back."""
        answer = hospital.client("fenn").flask.open(
            address, method=method, headers={"X-Secret": "echo me"}
        )
        assert answer.status_code == 405
        assert "echo me" not in answer.text

    @pytest.mark.parametrize("there", ATTACKS)
    def test_signing_in_leads_to_an_own_page(self, hospital: Hospital, there: str) -> None:
        """Whatever ``next`` says."""
        desk = Desk(hospital.client())
        desk.get("/desk/sign-in")
        answer = desk.post("/desk/sign-in", name="fenn", passphrase=PASSPHRASE, next=there)
        assert answer.status_code == 302
        assert answer.headers["Location"] == "/desk/"

    def test_and_to_the_page_that_was_wanted(self, hospital: Hospital) -> None:
        """An own address is kept."""
        desk = Desk(hospital.client())
        desk.get("/desk/sign-in")
        fields = {"name": "fenn", "passphrase": PASSPHRASE, "next": "/desk/devices"}
        assert desk.post("/desk/sign-in", **fields).headers["Location"] == "/desk/devices"

    @pytest.mark.parametrize("query", [
        "site=saltpan&site=upper-glen", "site=saltpan&after=0&after=1",
        "site=saltpan&limit=1&limit=2", "site=saltpan&epoch=1&epoch=2",
    ])  # fmt: skip
    def test_a_parameter_given_twice_is_refused(self, hospital: Hospital, query: str) -> None:
        """Two readers would take another one each."""
        answer = hospital.client("ambler").get(f"/sync/pull?{query}")
        assert (answer.status_code, answer.json["code"]) == (400, "request.bad")


class TestBodies:
    """What is sent."""

    def send(self, hospital: Hospital, body: str) -> int:
        """Send a sign-in of this body and return the status."""
        client = hospital.client()
        client.csrf = client.get("/auth/token").json["csrf"]
        answer = client.flask.post(
            "/auth/sign-in", data=body, content_type="application/json",
            headers={"X-CSRFToken": client.csrf},
        )  # fmt: skip
        return answer.status_code

    def test_a_name_said_twice_is_refused(self, hospital: Hospital) -> None:
        """RFC 8259 leaves open which one counts."""
        body = f'{{"name": "nobody", "name": "fenn", "passphrase": "{PASSPHRASE}"}}'
        assert self.send(hospital, body) == 400
        assert self.send(hospital, body.replace('"name": "nobody", ', "")) == 200

    @pytest.mark.parametrize("more", [
        '"__proto__": {"roles": [{"role": "surgeon"}]}', '"roles": ["administrator"]',
        '"constructor": {"prototype": {"admin": 1}}', '"user_id": "u-rook"', '"active": 1',
    ])  # fmt: skip
    def test_names_that_nobody_asked_for_do_nothing(self, hospital: Hospital, more: str) -> None:
        """The account stays what it is: each field is read by its name, none is assigned."""
        body = f'{{"name": "fenn", "passphrase": "{PASSPHRASE}", {more}}}'
        assert self.send(hospital, body) == 200
        client = hospital.client("fenn")
        assert client.get("/auth/me").json["user"]["id"] == "u-fenn"
        assert {r["role"] for r in client.get("/auth/me").json["user"]["roles"]} == {"desk"}

    @pytest.mark.parametrize("body", [
        "[" * 50_000 + "]" * 50_000, '{"a":' * 20_000 + "1" + "}" * 20_000, '{"name": NaN}',
        '{"name": 1e999}', "\ufeff{}", '{"name": "fenn", }', "\x00",
    ])  # fmt: skip
    def test_depth_and_nonsense_are_refused(self, hospital: Hospital, body: str) -> None:
        """400, never a fault."""
        assert self.send(hospital, body) == 400

    def test_a_form_of_many_parts_or_a_large_file(self, hospital: Hospital) -> None:
        """201 parts, half a megabyte of text, and two megabytes of file are each too much."""
        rook = hospital.client("rook")
        token = TOKEN.search(rook.get("/desk/catalogue").text)
        assert token
        many = {"csrf_token": token[1], **{f"f{n}": "x" for n in range(201)}}
        for fields in (
            many,
            {"csrf_token": token[1], "title": "x" * 600_000},
            {"csrf_token": token[1], "title": "x" * 2_000_000},
        ):
            answer = rook.flask.post(
                "/desk/catalogue/adopt", data=multipart(fields),
                content_type="multipart/form-data; boundary=part",
            )  # fmt: skip
            assert answer.status_code == 413


def multipart(fields: dict[str, str]) -> bytes:
    """Return a form of many parts, as RFC 7578 says."""
    parts = [
        f'--part\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'
        for name, value in fields.items()
    ]
    return "".join([*parts, "--part--\r\n"]).encode()


class TestReports:
    """What browsers report of a broken policy."""

    REPORT = {  # noqa: RUF012 - read only
        "type": "csp-violation", "url": "https://lampside.example/desk/person/1?q=Orla",
        "body": {"effectiveDirective": "script-src-elem", "sample": "Orla Fennimore",
                 "documentURL": "https://lampside.example/desk/?q=Orla"},
    }  # fmt: skip

    def send(self, hospital: Hospital, body: bytes) -> int:
        """Send a report as a browser does and return the status."""
        answer = hospital.client().flask.post(
            "/reports", data=body, content_type="application/reports+json"
        )
        return answer.status_code

    @pytest.fixture(autouse=True)
    def new_hour(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """Begin with an hour of its own."""
        monkeypatch.setattr(reports, "hourly", reports._Hourly())

    def test_the_directive_is_kept_and_nothing_else(self, hospital: Hospital) -> None:
        """No address, no piece of a page."""
        assert self.send(hospital, json.dumps([self.REPORT]).encode()) == 204
        assert only("policy.violated") == [["", "", "script-src-elem"]]

    @pytest.mark.parametrize("body", [b"", b"{", b"\xff", b"[" * 60_000])
    def test_nonsense_is_refused(self, hospital: Hospital, body: bytes) -> None:
        """With 400."""
        assert self.send(hospital, body) == 400

    def test_other_forms_are_passed_over(self, hospital: Hospital) -> None:
        """A list of something else, a directive that is none."""
        odd = [7, {}, {"body": 1}, {"body": {"effectiveDirective": 5}},
               {"body": {"effectiveDirective": "Orla Fennimore"}}]  # fmt: skip
        assert self.send(hospital, json.dumps(odd).encode()) == 204
        assert only("policy.violated") == [["", "", "not-an-id"]]

    def test_a_flood_is_kept_for_an_hours_worth(self, hospital: Hospital) -> None:
        """Sixty an hour; and 64 KiB a time."""
        assert self.send(hospital, json.dumps([self.REPORT] * 100).encode()) == 204
        assert len(only("policy.violated")) == 60
        assert self.send(hospital, b"[" + b" " * 70_000 + b"]") == 413
