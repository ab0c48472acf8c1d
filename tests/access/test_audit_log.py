"""The audit log: what is written down, that it cannot be changed, and that a change would show."""

import json
import logging
from pathlib import Path

import pytest
from peewee import IntegrityError

from tests.desk.conftest import Desk, ReadyCase, case
from tests.desk.fonts import sheet_fonts
from tests.hospital import PASSPHRASE, Hospital
from webapp.flow import audit
from webapp.store import audit_log
from webapp.store.addresses import is_postgresql
from webapp.store.database import database

__all__ = ["case", "sheet_fonts"]


def events() -> list[tuple[str, str, str, str]]:
    """Return (event, actor, subject, detail) of everything written down, the oldest first."""
    return [
        (line.said.event, line.said.actor, line.said.subject, line.said.detail)
        for line in audit_log.from_the_first()
    ]


def only(event: str) -> list[tuple[str, str, str]]:
    """Return who, about what, and the detail of one kind of event."""
    return [rest for name, *rest in map(list, events()) if name == event]  # type: ignore[misc]


def disarm() -> None:
    """Take the triggers away, as somebody who has the database can."""
    names = ("no_change",) if is_postgresql(database) else ("no_UPDATE", "no_DELETE")
    for name in names:
        place = " ON audit_row" if is_postgresql(database) else ""
        database.execute_sql(f"DROP TRIGGER audit_row_{name}{place}")


class TestEvents:
    """What ends up in the log."""

    def test_signing_in_and_out(self, hospital: Hospital) -> None:
        """Who came and went; a wrong try names the account it was made at, and nobody else."""
        client = hospital.client()
        client.sign_in("fenn", "wrong wrong wrong")
        client.sign_in("my passphrase typed here", "fenn")
        client.sign_in("fenn")
        client.post("/auth/sign-out", {})
        assert only("sign_in.failed") == [["", "u-fenn", ""], ["", "", ""]]
        assert only("session.began") == [["u-fenn", "", ""]]
        assert only("session.ended") == [["u-fenn", "", ""]]

    def test_what_is_not_allowed(self, hospital: Hospital) -> None:
        """An administrator who tries a case, a desk that tries the accounts."""
        hospital.client("rook").get("/desk/person/0193a5c0-0000-7000-8000-00000000ffff")
        hospital.client("fenn").get("/desk/people")
        assert only("access.refused") == [
            ["u-rook", "", "GET:case.read"], ["u-fenn", "", "GET:account.read"],
        ]  # fmt: skip

    def test_roles_and_accounts(self, hospital: Hospital) -> None:
        """Each role that comes or goes is a line of its own."""
        rook = Desk(hospital.client("rook"))
        rook.get("/desk/people")
        rook.post("/desk/people/u-quill/roles", role="desk", site="harbour",
                  passphrase=PASSPHRASE)  # fmt: skip
        rook.post("/desk/people/u-quill/roles/remove", role="desk", site="harbour")
        rook.post("/desk/people/u-quill/active", active="0")
        assert only("role.given")[-1] == ["u-rook", "u-quill", "desk@harbour"]
        assert only("role.taken") == [["u-rook", "u-quill", "desk@harbour"]]
        assert only("account.stopped") == [["u-rook", "u-quill", ""]]

    def test_an_order_and_a_wrong_passphrase(
        self, hospital: Hospital, case: ReadyCase, sheet_fonts: Path
    ) -> None:
        """The change is named by its place in the program and the case by its number."""
        hospital.app.config["FONTS_DIR"] = sheet_fonts
        desk = Desk(hospital.client("fenn"))
        assert case.order(desk, passphrase="wrong wrong wrong").status_code == 422
        assert case.order(desk).status_code == 302
        about = f"{case.person}/R"
        assert only("passphrase.refused") == [["u-fenn", "", ""]]
        assert only("change.refused") == [["u-fenn", about, "case.place:422"]]
        assert only("change.done") == [["u-fenn", about, "case.place:302"]]


class TestWhatItCannotHold:
    """No patient's data, by the form of its values."""

    @pytest.mark.parametrize("value", ["Orla Fennimore", "ZZQX CANARY", "a\nb", "x" * 121, "é"])
    def test_a_value_that_is_no_id_is_not_written(self, hospital: Hospital, value: str) -> None:
        """A name, a line break, a long text: the program has a fault, and says so."""
        before = events()
        with pytest.raises(ValueError, match="no id or code"):
            audit.note("change.done", subject=value)
        with pytest.raises(ValueError, match="is no event"):
            audit.note("made.up")
        assert events() == before

    def test_an_address_with_words_in_it_is_not_written(self, hospital: Hospital) -> None:
        """Somebody may type anything as a user id into an address."""
        rook = Desk(hospital.client("rook"))
        rook.get("/desk/people")
        rook.post("/desk/people/Orla Fennimore/active", active="0")
        assert only("change.refused") == [["u-rook", "not-an-id", "accounts.set_active:404"]]


class TestChain:
    """Nothing changed, nothing taken out."""

    @pytest.fixture
    def written(self, hospital: Hospital) -> int:
        """Write some events and return how many there are."""
        for number in range(5):
            audit.note("change.done", subject=f"case-{number}")
        return len(events())

    def test_is_whole(self, written: int) -> None:
        """Each row follows from the one before, the first from zeros."""
        assert audit.verify()[0] == written
        assert audit.verify().broken_at is None

    @pytest.mark.parametrize("change", [
        "UPDATE audit_row SET subject = 'x' WHERE n = 3", "DELETE FROM audit_row WHERE n = 3",
    ])  # fmt: skip
    def test_the_database_refuses_a_change(self, written: int, change: str) -> None:
        """A trigger stands before the rows."""
        with pytest.raises(IntegrityError, match="append-only"):
            database.execute_sql(change)

    @pytest.mark.parametrize(("change", "broken_at"), [
        ("UPDATE audit_row SET subject = 'x' WHERE n = 3", 3),
        ("UPDATE audit_row SET at = '2020' WHERE n = 1", 1),
        ("DELETE FROM audit_row WHERE n = 4", 5),
    ])  # fmt: skip
    def test_a_change_behind_its_back_shows(
        self, written: int, change: str, broken_at: int
    ) -> None:
        """Whoever has the file can take the trigger away, and is found out."""
        disarm()
        database.execute_sql(change)
        assert audit.verify().broken_at == broken_at

    def test_a_cut_off_end_shows_against_a_copy(
        self, written: int, tmp_path: Path, caplog: pytest.LogCaptureFixture
    ) -> None:
        """The newest events can only be missed where somebody else kept them."""
        with caplog.at_level(logging.INFO, "lampside.audit"):
            audit.note("change.done", subject="last")
        copy = tmp_path / "copy.jsonl"
        copy.write_text(f"{caplog.records[-1].message}\nanother logger's line\n", encoding="utf-8")
        assert json.loads(caplog.records[-1].message)["n"] == written + 1
        assert audit.missing_from(copy) == []
        disarm()
        database.execute_sql("DELETE FROM audit_row WHERE n = (SELECT max(n) FROM audit_row)")
        assert audit.verify().broken_at is None
        assert audit.missing_from(copy) == [written + 1]


class TestPage:
    """Who reads it."""

    def test_an_administrator_reads_the_newest_first(self, hospital: Hospital) -> None:
        """A hundred a page, in words, with the names of colleagues."""
        for number in range(101):
            audit.note("change.done", hospital.actor("fenn"), subject=f"case-{number}")
        rook = Desk(hospital.client("rook"))
        page = rook.get("/desk/audit-log").text
        assert "Signed in" in page and "A. Rook" in page and "case-100" in page
        assert "case-0<" not in page
        older = page.split('href="/desk/audit-log?before=')[1].split('"')[0]
        assert "case-0<" in rook.get(f"/desk/audit-log?before={older}").text
        assert rook.get("/desk/audit-log?before=x").status_code == 200
