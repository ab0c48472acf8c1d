"""Two hundred attempts at one order, against the real server in a process of its own."""

import re
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from http.client import HTTPConnection
from urllib.parse import urlencode

from tests.browser.base import Base
from tests.desk.conftest import ReadyCase
from tests.hospital import Hospital
from webapp.demo_people import PASSPHRASE
from webapp.settings import BUILT
from webapp.store import database, journal
from webapp.store.projections import orders

ATTEMPTS, AT_ONCE = 200, 16
TOKEN = re.compile(r'name="csrf_token" type="hidden" value="([^"]+)"')


class DeskBrowser:
    """A desk person's session; each attempt has a connection of its own."""

    def __init__(self, port: int) -> None:
        self.port = port
        self.cookie = ""
        self.token = ""

    def ask(self, method: str, path: str, fields: dict[str, str] | None = None) -> tuple[int, str]:
        """Return status, and where it leads or what it says; keep cookie and form token."""
        connection = HTTPConnection("localhost", self.port, timeout=120)
        headers = {"Cookie": self.cookie, "Content-Type": "application/x-www-form-urlencoded"}
        body = urlencode({"csrf_token": self.token, **fields}) if fields is not None else None
        connection.request(method, path, body, headers)
        answer = connection.getresponse()
        said = answer.read().decode()
        connection.close()
        if set_cookie := answer.getheader("Set-Cookie"):
            self.cookie = set_cookie.split(";")[0]
        if method == "GET" and (found := TOKEN.search(said)):
            self.token = found[1]
        return answer.status, answer.getheader("Location") or said


def test_two_hundred_attempts_give_one_row(hospital: Hospital) -> None:
    """Every attempt is led to the same order; one record, one row, one number."""
    case = ReadyCase(hospital)
    (hospital.settings.data_dir / "whole").touch()
    base = Base(hospital.settings.data_dir, BUILT)
    base.start()
    try:
        desk = DeskBrowser(base.port)
        desk.ask("GET", "/desk/sign-in")
        desk.ask("POST", "/desk/sign-in", {"name": "fenn", "passphrase": PASSPHRASE})
        desk.ask("GET", case.page)
        fields = {"approval": case.approval, "passphrase": PASSPHRASE, "supplier_reference": ""}
        with ThreadPoolExecutor(AT_ONCE) as pool:
            answers = list(
                pool.map(
                    lambda _: desk.ask("POST", f"{case.page}/order", dict(fields)), range(ATTEMPTS)
                )
            )
    finally:
        base.stop()
    assert Counter(answers) == {(302, answers[0][1]): ATTEMPTS}
    placed = [one for one in journal.entries_of_person(case.person) if one.kind == "order.placed"]
    (row,) = orders.of_case(case.person, "R")
    assert [one.id for one in placed] == [row.order_id]
    assert answers[0][1].endswith(f"/{row.order_id}")
    (state,) = database.database.execute_sql("PRAGMA integrity_check").fetchone()
    assert state == "ok"
