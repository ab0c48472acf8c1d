"""A person with a telling name goes the whole way through a real server, and leaves no trace.

Not in what the server says while it runs, not in the audit log, not in an error page, not in an
address that it sends anybody to, not in the title of a page.
"""

import json
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlencode

import pytest

from tests.desk.fonts import sheet_fonts
from tests.hospital import PASSPHRASE, Envelope, Hospital, Phone, person_body
from webapp import demo
from webapp.bootstrap import ROOT
from webapp.flow import clock
from webapp.store import audit_log

__all__ = ["sheet_fonts"]

CANARY = "ZZQX-CANARY"
NAME = f"{CANARY}-Orla Fennimore"

# Logs as much as it can, and has a fault whose message holds the name.
SERVER = """
import logging, sys
from pathlib import Path
from webapp.app import create_app
from webapp.desk import working
from webapp.serve import serve
from webapp.settings import Settings
logging.basicConfig(level=logging.DEBUG)
def fail(case):
    raise ValueError(f"no working for {case} of ZZQX-CANARY")
working.approved = fail
app = create_app(Settings.for_demo(Path(sys.argv[1])))
app.config["FONTS_DIR"] = Path(sys.argv[3])
serve(app, f"127.0.0.1:{sys.argv[2]}")
"""
TOKEN = re.compile(r'name="csrf_token" type="hidden" value="([^"]+)"')
TITLE = re.compile(r"<title>[^<]*</title>")
PERSON, TWIN = (f"0193a5c0-0000-7000-8000-000000000c0{last}" for last in "ab")


class Caller:
    """A browser of one colleague that keeps what could betray a patient."""

    def __init__(self, port: int, sign_in_name: str, seen: list[str]) -> None:
        self.port = port
        self.seen = seen
        self.cookie = self.token = ""
        self.token = json.loads(self.ask("GET", "/auth/token")[1])["csrf"]
        body = {"name": sign_in_name, "passphrase": PASSPHRASE}
        self.token = json.loads(self.post_json("/auth/sign-in", body)[1])["csrf"]

    def ask(self, method: str, address: str, body: str = "", **headers: str) -> tuple[int, str]:
        """Return status and text; keep headers of every answer, and the text of every refusal."""
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        with closing(HTTPConnection("127.0.0.1", self.port, timeout=60)) as connection:
            connection.request(method, address, body.encode(), {"Cookie": self.cookie, **named})
            answer = connection.getresponse()
            text = answer.read().decode("utf-8", "replace")
        for name, value in answer.getheaders():
            self.seen.append(f"{address.partition('?')[0]} {name}: {value}")
            if name == "Set-Cookie" and value.startswith("lampside="):
                self.cookie = value.split(";")[0]
        # A form that is shown again beside its case names the person, as the case's page does.
        if answer.status >= 400 and answer.status not in (409, 422):
            self.seen.append(text)
        # Titles stay in a browser's history, and are read out to whoever stands near.
        self.seen += TITLE.findall(text)
        found = TOKEN.search(text)
        self.token = found[1] if found else self.token
        return answer.status, text

    def post_json(self, address: str, value: object) -> tuple[int, str]:
        """Post JSON with the token."""
        return self.ask(
            "POST", address, json.dumps(value), Content_Type="application/json",
            X_CSRFToken=self.token,
        )  # fmt: skip

    def post_form(self, address: str, **fields: str) -> int:
        """Post a form with the token of the page opened last."""
        form = urlencode({"csrf_token": self.token, **fields})
        kind = "application/x-www-form-urlencoded"
        return self.ask("POST", address, form, Content_Type=kind)[0]

    def push(self, *envelopes: Envelope) -> None:
        """Hand records in; all must be stored."""
        answer = json.loads(self.post_json("/sync/push", {"records": list(envelopes)})[1])
        assert {receipt["result"] for receipt in answer["receipts"]} == {"stored"}, answer


@pytest.fixture
def port(hospital: Hospital, tmp_path: Path, sheet_fonts: Path) -> Iterator[int]:
    """Give a server in a process of its own; all it says goes to a file."""
    hospital.adopt_reference()
    free = demo.free_port()
    words = [sys.executable, "-c", SERVER, str(hospital.settings.data_dir), str(free)]
    log = tmp_path / "said.log"
    with log.open("wb") as out:
        process = subprocess.Popen(
            [*words, str(sheet_fonts)], cwd=ROOT, stdout=out, stderr=subprocess.STDOUT
        )
        try:
            while "Serving on" not in log.read_text(encoding="utf-8"):
                assert process.poll() is None, log.read_text(encoding="utf-8")
            yield free
        finally:
            process.kill()
            process.wait()


def approved(hospital: Hospital, port: int, seen: list[str]) -> str:
    """Take the person from registration to an approval through the server; return its id."""
    ambler, verrill = Caller(port, "ambler", seen), Caller(port, "verrill", seen)
    camp, surgeon = hospital.phone("ambler", "saltpan"), hospital.phone("verrill", "saltpan")
    # What a phone signs it hands in over HTTP, as that colleague.
    for phone, caller in ((camp, ambler), (surgeon, verrill)):
        _through(phone, caller)
    camp.keep("person.registered", PERSON, None, person_body(name=NAME, village=CANARY))
    twin = person_body(
        name=f"{CANARY} Twin", birth_year=1971, phone="0555 0199 31", camp_code="SP-099"
    )
    camp.keep("person.registered", TWIN, None, twin)
    camp.measure(PERSON, "R")
    request = camp.send_for_plan(PERSON, "R")
    approval = surgeon.approve(PERSON, "R", request)
    ambler.post_json("/sync/push", {"records": [{"p": NAME, "kid": NAME, "sig": NAME}]})
    ambler.ask("POST", "/sync/push", f'{{"records": "{NAME}', Content_Type="application/json",
               X_CSRFToken=ambler.token)  # fmt: skip
    ambler.ask("GET", f"/sync/pull?site={CANARY}&after={CANARY}")
    ambler.ask("GET", f"/nothing/{'x' * 20}?name={CANARY}")
    return approval


def _through(phone: Phone, caller: Caller) -> None:
    """Have a phone hand its records in over HTTP."""

    def keep(*what: object, **changed: object) -> str:
        envelope = phone.record(*what, **changed)  # type: ignore[arg-type]
        caller.push(envelope)
        assert phone.prev is not None
        return phone.prev

    phone.keep = keep  # type: ignore[method-assign, assignment]


def at_the_desk(port: int, approval: str, seen: list[str]) -> None:
    """Order, print and cancel with the name in every field, and meet every kind of error."""
    fenn = Caller(port, "fenn", seen)
    page = f"/desk/case/{PERSON}/R"
    assert NAME in fenn.ask("GET", page)[1]
    assert fenn.ask("GET", f"{page}/working")[0] == 500
    fenn.ask("GET", "/desk/")
    assert fenn.post_form(f"{page}/order", approval=CANARY, passphrase=PASSPHRASE) == 409
    fenn.ask("GET", page)
    assert fenn.post_form(f"{page}/order", approval=approval, passphrase=NAME) == 422
    assert fenn.post_form(f"{page}/order", approval=approval, passphrase=PASSPHRASE) == 302
    order = next(line.split(": ")[1] for line in seen if "Location: /desk/order/" in line)
    assert fenn.ask("GET", order)[0] == 200
    assert fenn.post_form(f"{order}/print") == 302
    assert fenn.ask("GET", f"{order}/sheet.pdf")[0] == 200
    assert fenn.ask("GET", f"{order}.json")[0] == 200
    follow(fenn, order)
    assert fenn.ask("GET", order)[0] == 200
    assert fenn.post_form(f"{order}/cancel", reason=f"{NAME} moved", passphrase=PASSPHRASE) == 302
    assert fenn.ask("POST", f"{order}/print", f"csrf_token={CANARY}")[0] == 400
    assert fenn.post_form("/desk/sign-in", name=NAME, passphrase=NAME) == 422


def follow(fenn: Caller, order: str) -> None:
    """Open the lists on which the order stands, and write the name into their fields."""
    number = order.rpartition("/")[2]
    for page in ("/desk/orders/", "/desk/theatre", "/desk/?site=saltpan", "/desk/recall",
                 f"/desk/order/{number}/confirmation"):  # fmt: skip
        assert fenn.ask("GET", page)[0] == 200, page
    said = {"order": number, "operate_on": clock.today(), "place": NAME, "passphrase": PASSPHRASE}
    fenn.ask("GET", "/desk/theatre")
    assert fenn.post_form("/desk/theatre", **said) in (200, 302)
    assert NAME in fenn.ask("GET", "/desk/theatre")[1]
    assert fenn.ask("GET", f"/desk/theatre/{number}")[0] == 200
    assert fenn.ask("GET", f"/desk/theatre/list.pdf?day={clock.today()}")[0] == 200
    assert fenn.ask("GET", f"/desk/orders/file.csv?order={number}")[0] == 200
    assert fenn.ask("GET", f"{order}/box")[0] in (200, 409)
    assert fenn.post_form(f"{order}/confirmation", model=NAME, reference=NAME) == 422


def about_the_person(port: int, seen: list[str]) -> None:
    """Open what the desk and the auditor see of the person, and join them with another."""
    fenn, birch = Caller(port, "fenn", seen), Caller(port, "birch", seen)
    for page in (f"/desk/recall/{PERSON}/R", f"/desk/urgent/{PERSON}/R"):
        assert NAME in fenn.ask("GET", page)[1]
        assert fenn.post_form(page, text=NAME, readings=CANARY) == 422
    pair = f"/desk/person/{PERSON}/join/{TWIN}"
    assert NAME in fenn.ask("GET", pair)[1]
    # Nobody has compared the two: refused. The surgeon does, and then they are joined.
    assert fenn.post_form(pair, reason=NAME, passphrase=PASSPHRASE) == 409
    verrill = Caller(port, "verrill", seen)
    same = {"other": TWIN, "answer": "same", "passphrase": PASSPHRASE}
    verrill.ask("GET", f"/desk/person/{PERSON}")
    assert verrill.post_form(f"/desk/person/{PERSON}/compare", **same) == 302
    assert fenn.post_form(pair, reason=NAME, passphrase=PASSPHRASE) == 302
    joined = re.search("/desk/joining/[0-9a-f]{64}", fenn.ask("GET", f"/desk/person/{PERSON}")[1])
    assert joined and NAME in fenn.ask("GET", joined[0])[1]
    assert fenn.post_form(joined[0], reason=NAME, passphrase=PASSPHRASE) == 302
    assert NAME not in birch.ask("GET", "/desk/cases")[1]
    assert birch.post_form(f"/desk/cases/{PERSON}/identity", reason=NAME) == 422
    assert birch.ask("GET", "/desk/cases/cautions")[0] == 200


class TestCanary:
    """The whole way."""

    def test_leaves_no_trace(self, hospital: Hospital, port: int, tmp_path: Path) -> None:
        """The name is on the desk's pages, where it belongs, and nowhere else."""
        seen: list[str] = []
        at_the_desk(port, approved(hospital, port, seen), seen)
        about_the_person(port, seen)
        said = (tmp_path / "said.log").read_text(encoding="utf-8")
        audit = [str(line) for line in audit_log.from_the_first()]
        assert "ValueError" in said and "change.done" in said
        assert len(audit) > 5 and len(seen) > 100
        for where in (said, *audit, *seen):
            assert CANARY not in where
            assert "Fennimore" not in where
