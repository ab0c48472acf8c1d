"""The hospital that the benchmarks measure: the demo's data, and the real server on a free port."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from http.client import HTTPConnection
from pathlib import Path
from typing import Any

from tests.bench.camp_records import CampPhone
from tests.browser.base import Base
from tests.postgresql import databases
from webapp import demo
from webapp.demo_people import DEMO_PEOPLE, PASSPHRASE
from webapp.flow import devices, folding
from webapp.flow.actor import Actor
from webapp.records.envelope import to_base64url
from webapp.settings import BUILT
from webapp.store import database


@contextmanager
def prepared(data_dir: Path) -> Iterator[dict[str, Any]]:
    """Make the demo's data and hold its database open; yield the catalogue and limits in force."""
    demo.make_ready(databases.settings_of_new(data_dir))
    with database.connection():
        yield folding.in_force()


@contextmanager
def opened(data_dir: Path) -> Iterator[None]:
    """Hold the database of such a folder open."""
    database.bind(databases.settings_of(data_dir).database_url)
    with database.connection():
        yield


def enrolled(sign_in_name: str, site: str) -> CampPhone:
    """Return a new phone of one of the demo's people, enrolled in the open database."""
    actor = actor_named(sign_in_name)
    phone = CampPhone(actor.user_id, site)
    devices.enrol(actor, to_base64url(phone.key.spki), "benchmark", at_once=True)
    return phone


def actor_named(sign_in_name: str) -> Actor:
    """Return one of the demo's people as if signed in."""
    one = next(person for person in DEMO_PEOPLE if person.sign_in_name == sign_in_name)
    return Actor(one.user_id, one.sign_in_name, one.name, tuple(one.roles))


@contextmanager
def serving(data_dir: Path) -> Iterator[Base]:
    """Run the server in a process of its own."""
    base = Base(data_dir, BUILT)
    base.start()
    try:
        yield base
    finally:
        base.stop()


class Client:
    """One signed-in phone's connection, which stays open."""

    def __init__(self, base: Base, sign_in_name: str) -> None:
        self._connection = HTTPConnection("localhost", base.port, timeout=60)
        self.headers = {"Content-Type": "application/json"}
        self.headers["X-CSRFToken"] = str(self.get("/auth/token")["csrf"])
        fields = {"name": sign_in_name, "passphrase": PASSPHRASE}
        answer = json.loads(self.post("/auth/sign-in", json.dumps(fields).encode()))
        self.headers["X-CSRFToken"] = answer["csrf"]

    def get(self, address: str) -> dict[str, Any]:
        """Return the answer to a GET."""
        return dict(json.loads(self.fetch(address)))

    def fetch(self, address: str) -> bytes:
        """Return the bytes of the answer to a GET."""
        return self._ask("GET", address, None)

    def post(self, address: str, body: bytes) -> bytes:
        """Return the bytes of the answer to a POST."""
        return self._ask("POST", address, body)

    def _ask(self, method: str, address: str, body: bytes | None) -> bytes:
        self._connection.request(method, address, body, self.headers)
        answer = self._connection.getresponse()
        data = answer.read()
        for cookie in answer.headers.get_all("Set-Cookie") or []:
            self.headers["Cookie"] = cookie.split(";")[0]
        if answer.status != 200:
            raise RuntimeError(f"{method} {address}: {answer.status} {data[:300]!r}")
        return data

    def close(self) -> None:
        """Close the connection."""
        self._connection.close()
