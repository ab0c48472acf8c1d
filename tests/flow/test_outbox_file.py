"""A phone's outbox brought to the base as a file; the phone is the browser's own code, in Node."""

import json
import subprocess
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from tests.hospital import Hospital
from webapp import import_outbox
from webapp.asset_build.node import NODE
from webapp.bootstrap import ROOT
from webapp.demo_people import DEMO_PEOPLE
from webapp.flow import devices, outbox_file, recovery_key
from webapp.flow.refusal import Refused
from webapp.records.recovery import RecoveryKey
from webapp.store import journal

SCRIPT = ROOT / "tests" / "js" / "store" / "export_node.mjs"


class Exported(NamedTuple):
    """What a locked phone gave, and the private key that opens it."""

    file: dict[str, Any]
    private: Path
    kid: str
    person: str

    def content(self) -> bytes:
        """Return the file's bytes."""
        return json.dumps(self.file).encode()

    def opened(self) -> list[outbox_file.Envelope]:
        """Return its records."""
        return outbox_file.opened(self.content(), RecoveryKey.load(self.private))


@pytest.fixture
def exported(hospital: Hospital, tmp_path: Path) -> Exported:
    """Let a phone enrol with this base's recovery key, keep two records offline, and export."""
    private = recovery_key.make(hospital.settings.data_dir, tmp_path / "offline.pem")
    recovery_key.use(hospital.settings.data_dir)
    ambler = next(one for one in DEMO_PEOPLE if one.user_id == "u-ambler")
    roles = [{"role": held.role, "site": held.site} for held in ambler.roles]
    user = {"id": "u-ambler", "name": ambler.name, "roles": roles}
    done = subprocess.run(
        [str(NODE), str(SCRIPT)],
        input=json.dumps({"user": user, "recovery": recovery_key.public()}),
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    answer = json.loads(done.stdout)
    kid = devices.enrol(
        hospital.actor("ambler"), answer["spki"], "the exported phone", at_once=True
    )
    return Exported(answer["file"], private, kid, answer["person"])


def test_the_records_arrive_as_their_authors(exported: Exported) -> None:
    """Both are stored in chain order, by the person whose key signed them."""
    receipts = outbox_file.push(exported.opened())
    assert [receipt.result for receipt in receipts] == ["stored", "stored"]
    entries = [
        entry
        for entry in journal.entries_after("saltpan", 0, 1000)
        if entry.person == exported.person
    ]
    assert [entry.kind for entry in entries] == ["person.registered", "reading.white_to_white"]


def test_brought_twice_it_is_stored_once(exported: Exported) -> None:
    """The second time every record is known already."""
    first = outbox_file.push(exported.opened())
    again = outbox_file.push(exported.opened())
    assert [receipt.result for receipt in again] == ["known", "known"]
    assert [receipt.n for receipt in again] == [receipt.n for receipt in first]


def test_no_word_of_a_patient_is_readable_in_it(exported: Exported) -> None:
    """The registered name stands nowhere in the file, and does once it is opened."""
    assert b"Hartnoll" not in exported.content()
    assert "Hartnoll" in outbox_file.from_base64url(exported.opened()[0].p, "p").decode()


@pytest.mark.parametrize("part", ["iv", "box", "id"])
def test_a_changed_record_refuses_the_whole_file(exported: Exported, part: str) -> None:
    """One altered character, and nothing is taken in."""
    record = exported.file["records"][1]
    first = record[part][0]
    record[part] = ("0" if first != "0" else "1") + record[part][1:]
    with pytest.raises(Refused) as refusal:
        exported.opened()
    assert refusal.value.code == "outbox_file.changed"


def test_two_records_that_changed_places_are_refused(exported: Exported) -> None:
    """A box opens only under the id it was sealed for."""
    one, two = exported.file["records"]
    one["box"], two["box"] = two["box"], one["box"]
    one["iv"], two["iv"] = two["iv"], one["iv"]
    with pytest.raises(Refused) as refusal:
        exported.opened()
    assert refusal.value.code == "outbox_file.changed"


def test_another_hospitals_key_does_not_open_it(exported: Exported, tmp_path: Path) -> None:
    """The refusal names both keys, so that the right one can be looked for."""
    other = tmp_path / "other"
    other.mkdir()
    key = RecoveryKey.load(recovery_key.make(other))
    with pytest.raises(Refused, match=key.name[:12]) as refusal:
        outbox_file.opened(exported.content(), key)
    assert refusal.value.code == "outbox_file.other_key"


@pytest.mark.parametrize("content", [b"", b"[]", b"{}", b"\xff\xfe", b"[" * 100_000])
def test_what_is_no_outbox_file_is_refused(exported: Exported, content: bytes) -> None:
    """Anything else is told apart at once."""
    with pytest.raises(Refused) as refusal:
        outbox_file.opened(content, RecoveryKey.load(exported.private))
    assert refusal.value.code == "outbox_file.bad"


def test_a_key_that_was_never_enrolled_is_refused(exported: Exported) -> None:
    """A stranger's file brings nothing in."""
    for record in exported.file["records"]:
        record["kid"] = "0" * 64
    with pytest.raises(Refused) as refusal:
        outbox_file.push(exported.opened())
    assert refusal.value.code == "key.unknown"


def test_the_command_prints_a_line_a_record(
    exported: Exported, hospital: Hospital, tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    """Ids and results alone: the terminal shows no patient."""
    monkeypatch.setattr(import_outbox, "settings_of", lambda _demo: hospital.settings)
    file = tmp_path / "outbox.json"
    file.write_bytes(exported.content())
    assert import_outbox.main([str(file), "--recovery-key", str(exported.private)]) == 0
    said = capsys.readouterr().out
    assert said.splitlines()[-1] == "2 records, 2 of them at the base, 0 refused."
    assert "Hartnoll" not in said
