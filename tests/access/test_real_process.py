"""The demo in its own process, asked as a phone asks."""

import json
import subprocess
import sys
from collections.abc import Iterator
from email.message import Message
from http.client import HTTPConnection
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

from webapp import demo
from webapp.bootstrap import ROOT
from webapp.demo_people import PASSPHRASE
from webapp.records.envelope import to_base64url
from webapp.store import database, devices

SERVER = """
from pathlib import Path
import sys
from webapp import demo, serve
from webapp.app import create_app
from webapp.records.envelope import to_base64url
from webapp.settings import Settings
settings = Settings.for_demo(Path(sys.argv[1]))
demo.FIXTURES = "no_such_module"
demo.make_ready(settings)
serve.serve(create_app(settings), f"127.0.0.1:{sys.argv[2]}")
"""


@pytest.fixture
def server(tmp_path: Path) -> Iterator["Server"]:
    """Return a demo server in a process of its own."""
    free = demo.free_port()
    command = [sys.executable, "-c", SERVER, str(tmp_path), str(free)]
    with subprocess.Popen(command, cwd=ROOT, stderr=subprocess.PIPE, text=True) as process:
        assert process.stderr is not None
        for line in process.stderr:
            if "Serving on" in line:
                break
        yield Server(free, process)
        process.kill()


class Server(NamedTuple):
    """A running server."""

    port: int
    process: "subprocess.Popen[str]"


class TestOverHttp:
    """The demo in its own process, asked as a phone asks."""

    def test_sign_in_and_read(self, server: Server) -> None:
        """Token, sign-in, status and the first page through waitress."""
        with _Phone(server.port) as phone:
            status, headers, token = phone.ask("GET", "/auth/token")
            assert status == 200
            assert "Server" not in headers
            phone.token = token["csrf"]
            body = {"name": "ambler", "passphrase": PASSPHRASE}
            status, _, answer = phone.ask("POST", "/auth/sign-in", body)
            assert (status, answer["user"]["id"]) == (200, "u-ambler")
            status, _, answer = phone.ask("GET", "/sync/status")
            assert (status, answer["checks"]) == (200, [])

    def test_forged_forwarding_headers_are_ignored(self, server: Server) -> None:
        """The demo stands behind no proxy: a forwarded host or scheme means nothing."""
        with _Phone(server.port) as phone:
            forged = {"X-Forwarded-Host": "evil.example", "X-Forwarded-Proto": "https",
                      "X-Forwarded-For": "10.0.0.1"}  # fmt: skip
            status, _, _ = phone.ask("GET", "/auth/token", headers=forged)
            assert status == 200

    def test_what_was_acknowledged_survives_a_kill(self, server: Server, tmp_path: Path) -> None:
        """Killed right after its answer, the server has kept what it acknowledged."""
        device = ec.generate_private_key(ec.SECP256R1())
        spki = device.public_key().public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
        with _Phone(server.port) as phone:
            phone.token = phone.ask("GET", "/auth/token")[2]["csrf"]
            signed_in = phone.ask(
                "POST", "/auth/sign-in", {"name": "ambler", "passphrase": PASSPHRASE}
            )
            phone.token = signed_in[2]["csrf"]
            about = {"spki": to_base64url(spki), "label": "x"}
            status, _, answer = phone.ask("POST", "/auth/enrol", about)
            server.process.kill()
            server.process.wait()
            assert status == 200
        database.bind(f"sqlite:///{tmp_path}/lampside.sqlite3")
        with database.connection():
            kept = devices.find(answer["kid"])
            assert kept is not None
            assert bytes(kept.spki) == spki


class _Phone:
    """A connection that keeps its cookie and its token."""

    def __init__(self, port: int) -> None:
        self.connection = HTTPConnection("127.0.0.1", port, timeout=20)
        self.cookie = ""
        self.token = ""

    def __enter__(self) -> "_Phone":
        return self

    def __exit__(self, *_error: object) -> None:
        self.connection.close()

    def ask(
        self,
        method: str,
        address: str,
        body: object = None,
        headers: dict[str, str] | None = None,
    ) -> tuple[int, Message, dict[str, Any]]:
        """Return status, headers and the JSON answer."""
        sent = {"Cookie": self.cookie, "X-CSRFToken": self.token,
                "Content-Type": "application/json", **(headers or {})}  # fmt: skip
        data = json.dumps(body) if body is not None else None
        self.connection.request(method, address, data, sent)
        answer = self.connection.getresponse()
        if "Set-Cookie" in answer.headers:
            self.cookie = answer.headers["Set-Cookie"].split(";")[0]
        return answer.status, answer.headers, json.loads(answer.read())
