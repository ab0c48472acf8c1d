"""The commands: what is missing is said in one sentence, and what is made works over HTTP."""

import errno
import io
import json
import os
import re
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

from tests.access.test_audit_log import disarm
from tests.hospital import CATALOGUE, Hospital
from tests.records.vectors import read
from webapp import adopt, calc, demo, initialise, restored, serve, users, verify_audit_log, withdraw
from webapp.demo_people import PASSPHRASE
from webapp.exchange_formats import catalogue_csv_writing
from webapp.flow import audit, desk_key, reference
from webapp.records.envelope import to_base64url
from webapp.settings import Settings, SettingsMissing
from webapp.store import chains, database, devices, installation, journal, migrations

ROOT = Path(__file__).parents[2]
SECRET = "s" * 32
PASS = "six otters row home"


def environment(tmp_path: Path, **changed: str) -> dict[str, str]:
    """Return what a real server reads, with some of it changed; an empty text removes it."""
    whole = {
        "DATABASE_URL": f"sqlite:///{tmp_path}/lampside.sqlite3",
        "LAMPSIDE_DATA": str(tmp_path),
        "LAMPSIDE_SECRET_KEY": SECRET,
        "LAMPSIDE_HOSTS": "eyes.example",
        **changed,
    }
    return {name: value for name, value in whole.items() if value}


class TestSettings:
    """What a real server cannot run without."""

    def test_a_whole_environment(self, tmp_path: Path) -> None:
        """Secure cookies, one proxy, no demo."""
        settings = Settings.from_environment(environment(tmp_path))
        assert settings.secure_cookies
        assert not settings.demo
        assert (settings.trusted_hops, settings.trusted_hosts) == (1, ("eyes.example",))

    @pytest.mark.parametrize(
        ("changed", "names"),
        [
            ({"DATABASE_URL": ""}, "DATABASE_URL"),
            ({"LAMPSIDE_DATA": ""}, "LAMPSIDE_DATA"),
            ({"LAMPSIDE_DATA": "/no/such/folder"}, "/no/such/folder"),
            ({"LAMPSIDE_SECRET_KEY": ""}, "LAMPSIDE_SECRET_KEY_FILE"),
            ({"LAMPSIDE_SECRET_KEY": "short"}, "5 characters"),
            ({"LAMPSIDE_SECRET_KEY_FILE": "/no/such/file"}, "/no/such/file"),
            ({"LAMPSIDE_HOSTS": ""}, "LAMPSIDE_HOSTS"),
            ({"LAMPSIDE_HOPS": "many"}, "LAMPSIDE_HOPS"),
            ({"LAMPSIDE_HOPS": "0"}, "LAMPSIDE_HOPS"),
        ],
    )
    def test_each_missing_part_is_named(
        self, tmp_path: Path, changed: dict[str, str], names: str
    ) -> None:
        """One sentence, which never repeats a secret."""
        with pytest.raises(SettingsMissing, match=re.escape(names)) as missing:
            Settings.from_environment(environment(tmp_path, **changed))
        assert str(missing.value).endswith(".")
        assert SECRET not in str(missing.value)

    def test_the_secret_may_lie_in_a_file(self, tmp_path: Path) -> None:
        """The file wins over the variable."""
        (tmp_path / "secret").write_text("f" * 40 + "\n")
        found = Settings.from_environment(
            environment(tmp_path, LAMPSIDE_SECRET_KEY_FILE=str(tmp_path / "secret"))
        )
        assert found.secret_key == "f" * 40

    def test_the_demo_keeps_its_secret_for_its_owner(self, tmp_path: Path) -> None:
        """Made once, readable by its owner only."""
        first = Settings.for_demo(tmp_path).secret_key
        assert Settings.for_demo(tmp_path).secret_key == first
        assert len(first) >= 64
        assert (tmp_path / "secret_key").stat().st_mode & 0o077 == 0


class TestServe:
    """Starting the real server."""

    def test_refuses_with_one_sentence(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """Nothing is started, the reason stands on standard error, and the exit code is 1."""
        monkeypatch.setattr(os, "environ", environment(tmp_path, DATABASE_URL=""))
        assert serve.run([]) == 1
        assert capsys.readouterr().err == "Not started. " + (
            "DATABASE_URL is not set; it names the database, sqlite:////path.\n"
        )

    def test_refuses_an_empty_database(self, tmp_path: Path) -> None:
        """A server with no accounts would be of no use; the sentence names the command."""
        (tmp_path / "built").mkdir()
        (tmp_path / "built" / "manifest.json").write_text('{"addresses": {"css": "/a"}}')
        settings = Settings.from_environment(environment(tmp_path))
        with pytest.raises(migrations.WrongShape, match="webapp init"):
            serve.ready_app(settings._replace(built_dir=tmp_path / "built"))

    def test_refuses_without_the_browsers_files(self, tmp_path: Path) -> None:
        """A phone would get an empty page."""
        settings = Settings.from_environment(environment(tmp_path))
        with pytest.raises(SettingsMissing, match="webapp build"):
            serve.ready_app(settings._replace(built_dir=tmp_path / "nothing"))

    def test_refuses_a_database_that_cannot_be_opened(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """A folder that is not there, and a file that is no database: one sentence each."""
        (tmp_path / "text").write_text("only words, enough of them to fill a page\n" * 40)
        for path in (tmp_path / "nowhere" / "x.sqlite3", tmp_path / "text"):
            url = f"sqlite:///{path}"
            monkeypatch.setattr(os, "environ", environment(tmp_path, DATABASE_URL=url))
            assert users.main(["list"]) == 1
            assert "DATABASE_URL cannot be opened: " in capsys.readouterr().err

    def test_a_taken_port_is_said(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """One sentence, and no hint to delete the demo's data, which are not at fault."""

        def taken(*_app: object, **_how: object) -> None:
            raise OSError(errno.EADDRINUSE, "Address already in use")

        monkeypatch.setattr(serve, "create_server", taken)
        monkeypatch.setattr(demo, "FIXTURES", "no_such_module")
        assert demo.run(tmp_path, 8000, open_browser=False) == 1
        assert capsys.readouterr().err == (
            "Not started. Nothing can listen on 127.0.0.1:8000: Address already in use. "
            "Choose another.\n"
        )


class TestInitAndUsers:
    """Preparing an installation, then its accounts, as typed at a shell."""

    def test_from_nothing_to_a_surgeon(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """init, a second administrator, then both make a surgeon; a second init changes nothing."""
        where = environment(tmp_path)
        monkeypatch.setattr(
            Settings, "from_environment", classmethod(lambda cls: _settings(cls, where))
        )
        for module in (initialise, users):
            monkeypatch.setattr(module, "ask_passphrase", lambda: PASS)
        init = ["--site", "base=Base hospital", "--site", "camp=Camp", "--administrator", "rook",
                "--name", "A. Rook"]  # fmt: skip
        assert initialise.main(init) == 0
        assert initialise.main(init) == 1
        assert "prepared already" in capsys.readouterr().err
        monkeypatch.setattr(users, "ask_for", lambda name: PASS)
        add = ["add", "Verrill", "--name", "Dr S. Verrill", "--role", "surgeon@camp"]
        assert users.main(add) == 1
        assert "there is one. Make the second first" in capsys.readouterr().err
        second = ["add", "teal", "--name", "P. Teal", "--role", "administrator@base"]
        assert users.main(second) == 0
        third = ["add", "third", "--name", "X", "--role", "administrator@base"]
        assert users.main(third) == 1
        assert users.main([*add, "--by", "rook", "--by", "Rook"]) == 1
        assert users.main([*add, "--by", "rook", "--by", "nobody"]) == 1
        add += ["--by", "rook", "--by", "teal"]
        assert users.main(add) == 0
        assert users.main(add) == 1
        assert users.main(["add", "x y", "--name", "X", "--role", "surgeon@camp"]) == 1
        assert users.main(["add", "quill", "--name", "Q", "--role", "surgeon@nowhere"]) == 1
        assert users.main(["add", "quill", "--name", "Q", "--role", "wizard@camp"]) == 1
        assert users.main(["passphrase", "verrill"]) == 0
        assert users.main(["passphrase", "nobody"]) == 1
        capsys.readouterr()
        assert users.main(["list"]) == 0
        assert capsys.readouterr().out == (
            "rook  A. Rook  administrator@base\nverrill  Dr S. Verrill  surgeon@camp\n"
            "teal  P. Teal  administrator@base\n"
        )

    def test_a_short_passphrase_is_refused(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """Nothing is half prepared."""
        where = environment(tmp_path)
        monkeypatch.setattr(
            Settings, "from_environment", classmethod(lambda cls: _settings(cls, where))
        )
        monkeypatch.setattr(initialise, "ask_passphrase", lambda: "short")
        init = ["--site", "base=Base", "--administrator", "rook", "--name", "A. Rook"]
        assert initialise.main(init) == 1
        assert "5 characters" in capsys.readouterr().err
        with database.connection():
            assert not migrations.is_made()


class TestAdopt:
    """Putting a catalogue in force at the server."""

    def test_in_an_administrators_name(
        self,
        hospital: Hospital,
        tmp_path: Path,
        monkeypatch: pytest.MonkeyPatch,
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        """A right file is adopted; a wrong passphrase, role, field or file is said and is not."""
        monkeypatch.setattr(
            Settings, "from_environment", classmethod(lambda _cls: hospital.settings)
        )
        monkeypatch.setattr(adopt, "ask_passphrase", lambda: PASSPHRASE)
        good, bad, broken = (tmp_path / name for name in ("good.json", "bad.json", "broken.json"))
        good.write_text(json.dumps(CATALOGUE))
        bad.write_text(json.dumps({**CATALOGUE, "title": ""}))
        broken.write_text("{")
        run = adopt.main
        assert run(["catalogue", str(bad), "--administrator", "rook"]) == 1
        assert "title" in capsys.readouterr().err
        assert run(["catalogue", str(broken), "--administrator", "rook"]) == 1
        assert "is not JSON" in capsys.readouterr().err
        broken.write_bytes('{"title": "é"}'.encode("latin-1"))
        assert run(["catalogue", str(broken), "--administrator", "rook"]) == 1
        assert "is not JSON in UTF-8" in capsys.readouterr().err
        broken.write_text("[]")
        assert run(["catalogue", str(broken), "--administrator", "rook"]) == 1
        assert "one JSON object" in capsys.readouterr().err
        assert run(["catalogue", str(tmp_path / "none"), "--administrator", "rook"]) == 1
        assert "none cannot be read: No such file or directory." in capsys.readouterr().err
        assert run(["catalogue", str(good), "--administrator", "fenn"]) == 1
        monkeypatch.setattr(adopt, "ask_passphrase", lambda: "wrong wrong wrong")
        assert run(["catalogue", str(good), "--administrator", "rook"]) == 1
        monkeypatch.setattr(adopt, "ask_passphrase", lambda: PASSPHRASE)
        assert run(["catalogue", str(good), "--administrator", "rook"]) == 0
        assert "adopted by A. Rook" in capsys.readouterr().out
        with database.connection():
            assert reference.in_force()["catalogue"]["body"] == CATALOGUE

    def test_a_catalogue_from_a_table(
        self,
        hospital: Hospital,
        tmp_path: Path,
        monkeypatch: pytest.MonkeyPatch,
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        """Every error is printed by row and nothing adopted; a right table is in force."""
        monkeypatch.setattr(
            Settings, "from_environment", classmethod(lambda _cls: hospital.settings)
        )
        monkeypatch.setattr(adopt, "ask_passphrase", lambda: PASSPHRASE)
        models = [{**model, "index_e4": None} for model in CATALOGUE["models"]]
        file = tmp_path / "autumn.csv"
        text = catalogue_csv_writing.write(models)
        file.write_text(text.replace("0.50", "0,50").replace("no,", "perhaps,"))
        line = ["catalogue", str(file), "--administrator", "rook"]
        with database.connection():
            before = reference.in_force()["catalogue"]
        assert adopt.main(line) == 1
        said = capsys.readouterr().err
        assert "row 2: It has 15 cells" in said and said.endswith("Nothing was adopted.\n")
        with database.connection():
            assert reference.in_force()["catalogue"] == before
        file.write_text(text)
        assert adopt.main([*line, "--invented"]) == 0
        assert adopt.main([*line, "--title", "Winter"]) == 0
        with database.connection():
            newest, older = (one.body for one in reference.versions("catalogue.adopted")[:2])
        assert older == {"title": "autumn", "demo": 1, "models": models}
        assert newest == {"title": "Winter", "demo": 0, "models": models}

    def test_a_vault_model_from_the_calculation(
        self,
        hospital: Hospital,
        tmp_path: Path,
        monkeypatch: pytest.MonkeyPatch,
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        """The printed answer of ``calc vault-model`` is adopted by a surgeon, by nobody else."""
        monkeypatch.setattr(
            Settings, "from_environment", classmethod(lambda _cls: hospital.settings)
        )
        monkeypatch.setattr(adopt, "ask_passphrase", lambda: PASSPHRASE)
        prior = {"mean": [500, 550], "sd": [150, 160], "sigma0_um": 175, "a0": 4, "b0": 91875}
        asked = {
            "prior": prior, "features": ["one", "excess_mm"], "centre": {"excess_mm": 0.5},
            "observations": [{"length_mm": 12.5, "diameter_mm": 12.0, "vault_um": 480}],
        }  # fmt: skip
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(json.dumps(asked).encode())))
        assert calc.main(["vault-model"]) == 0
        printed = json.loads(capsys.readouterr().out)
        file = tmp_path / "model.json"
        said = {"title": "Ours", "diameter_kind": "sulcus_to_sulcus", "device": None}
        file.write_text(json.dumps({**said, "fitted_on": "One eye", "from_calc": printed}))
        assert adopt.main(["vault-model", str(file), "--administrator", "rook"]) == 1
        assert "needs the role surgeon" in capsys.readouterr().err
        assert adopt.main(["vault-model", str(file), "--surgeon", "verrill"]) == 0
        assert "adopted by Dr S. Verrill" in capsys.readouterr().out
        with database.connection():
            (model,) = reference.in_force()["vault_models"]
        assert (model["body"]["n_eyes"], model["body"]["a_e3"]) == (1, 4500)
        file.write_text(json.dumps({**said, "fitted_on": "One eye", "from_calc": {}}))
        assert adopt.main(["vault-model", str(file), "--surgeon", "verrill"]) == 1
        assert "from_calc: This is not the answer" in capsys.readouterr().err

    def test_a_vault_model_is_withdrawn(
        self,
        hospital: Hospital,
        tmp_path: Path,
        monkeypatch: pytest.MonkeyPatch,
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        """By its id as the list prints it, with a surgeon's name, reason and passphrase."""
        monkeypatch.setattr(
            Settings, "from_environment", classmethod(lambda _cls: hospital.settings)
        )
        for command in (adopt, withdraw):
            monkeypatch.setattr(command, "ask_passphrase", lambda: PASSPHRASE)
        body = read("kinds")["payloads"]["vault_model.adopted"]["body"]
        file = tmp_path / "model.json"
        file.write_text(json.dumps(body))
        assert withdraw.main(["vault-model"]) == 0
        assert capsys.readouterr().out == "No vault model was adopted.\n"
        assert adopt.main(["vault-model", str(file), "--surgeon", "verrill"]) == 0
        capsys.readouterr()
        assert withdraw.main(["vault-model"]) == 0
        begins, rest = capsys.readouterr().out.strip().split("  ")
        assert rest == f"{body['title']}, in force"
        line = ["vault-model", begins, "--reason", "The scanner was calibrated anew."]
        for wrong, says in (
            (line, "--surgeon"),
            (["vault-model", begins[:6], *line[2:], "--surgeon", "verrill"], "begins so"),
            (["vault-model", begins, "--surgeon", "verrill"], "ten characters"),
            ([*line, "--surgeon", "rook"], "needs the role surgeon"),
        ):
            assert withdraw.main(wrong) == 1
            assert says in capsys.readouterr().err
        assert withdraw.main([*line, "--surgeon", "verrill"]) == 0
        assert "Withdrawn: " + body["title"] in capsys.readouterr().out
        assert withdraw.main(["vault-model"]) == 0
        assert "withdrawn: The scanner was calibrated anew." in capsys.readouterr().out

    def test_a_limit_that_no_rule_reads(
        self,
        hospital: Hospital,
        tmp_path: Path,
        monkeypatch: pytest.MonkeyPatch,
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        """A slip in a limit's name would stop every plan: it is named and nothing is adopted."""
        monkeypatch.setattr(
            Settings, "from_environment", classmethod(lambda _cls: hospital.settings)
        )
        monkeypatch.setattr(adopt, "ask_passphrase", lambda: PASSPHRASE)
        with database.connection():
            before = reference.in_force()["limits"]
        file = tmp_path / "limits.json"
        file.write_text(
            '{"title": "Ours", "values": {"age_stop": 16, "depth_stop_below_um": 2800}}'
        )
        assert adopt.main(["limits", str(file), "--administrator", "rook"]) == 1
        assert "that they can't have: age_stop. Nothing was adopted" in capsys.readouterr().err
        with database.connection():
            assert reference.in_force()["limits"] == before

    @pytest.mark.parametrize("what", ["catalogue", "limits"])
    def test_the_example_can_be_adopted_as_printed(
        self,
        hospital: Hospital,
        tmp_path: Path,
        monkeypatch: pytest.MonkeyPatch,
        capsys: pytest.CaptureFixture[str],
        what: str,
    ) -> None:
        """What --example prints is a whole body, and a catalogue says that it is invented."""
        monkeypatch.setattr(
            Settings, "from_environment", classmethod(lambda _cls: hospital.settings)
        )
        monkeypatch.setattr(adopt, "ask_passphrase", lambda: PASSPHRASE)
        with pytest.raises(SystemExit, match="0"):
            adopt.main(["--example", what])
        file = tmp_path / "example.json"
        file.write_text(capsys.readouterr().out)
        assert adopt.main([what, str(file), "--administrator", "rook"]) == 0
        with database.connection():
            body = reference.in_force()[what]["body"]
        assert body == json.loads(file.read_text())
        assert body.get("demo") == (1 if what == "catalogue" else None)


class TestAuditLog:
    """Checking the log of who did what."""

    def test_whole_cut_off_and_changed(
        self,
        hospital: Hospital,
        tmp_path: Path,
        monkeypatch: pytest.MonkeyPatch,
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        """0 and a count for a whole log; 1 with the event's number for any other."""
        monkeypatch.setattr(Settings, "from_environment", lambda: hospital.settings)
        copy = tmp_path / "copy.jsonl"
        audit.copy_to(copy)
        try:
            hospital.client("fenn")
        finally:
            audit.LOGGER.handlers.pop().close()
        assert verify_audit_log.main(["--against", str(copy)]) == 0
        assert "each follows from the one before" in capsys.readouterr().out
        database.connect()
        disarm()
        database.database.execute_sql("DELETE FROM audit_row WHERE event = 'session.began'")
        assert verify_audit_log.main(["--against", str(copy)]) == 1
        assert "of the copy is not in the log" in capsys.readouterr().out
        database.connect()
        database.database.execute_sql("DELETE FROM audit_row WHERE n = 1")
        assert verify_audit_log.main([]) == 1
        assert "The chain breaks at event 2" in capsys.readouterr().out


class TestRestored:
    """After an older copy of the database was put back."""

    def test_begins_another_life(self, hospital: Hospital, monkeypatch: pytest.MonkeyPatch) -> None:
        """The epoch is raised, by which phones know that they must offer everything again."""
        monkeypatch.setattr(
            Settings, "from_environment", classmethod(lambda _cls: hospital.settings)
        )
        with database.connection():
            before = installation.epoch()
        assert restored.main([]) == 0
        assert restored.main([]) == 0
        with database.connection():
            assert installation.epoch() >= before + 2

    def test_the_desk_signs_with_a_new_key(
        self, hospital: Hospital, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Its next record takes no place of one that only the phones still hold."""
        monkeypatch.setattr(
            Settings, "from_environment", classmethod(lambda _cls: hospital.settings)
        )
        old = desk_key.desk_key().kid
        assert restored.main([]) == 0
        with database.connection():
            hospital.adopt_reference()
            newest = journal.entries_of_kind("all", "limits.adopted")[0]
            assert newest.kid == desk_key.desk_key().kid != old
            assert chains.heads([newest.kid])[newest.kid][0] == 2
            assert devices.find(old) is not None
        assert len(list(hospital.settings.data_dir.glob("desk_key*.pem"))) == 2

    def test_a_database_that_was_never_made(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """The wrong file was put back: it is said, and nothing is made in it."""
        monkeypatch.setattr(os, "environ", environment(tmp_path))
        assert restored.main([]) == 1
        assert "The database is empty." in capsys.readouterr().err


_REAL = Settings.from_environment.__func__  # type: ignore[attr-defined]


def _settings(cls: type[Settings], where: dict[str, str]) -> Settings:
    found: Settings = _REAL(cls, where)
    return found


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
