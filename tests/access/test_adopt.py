"""Putting catalogue, limits and vault models in force at the server, and taking models out."""

import io
import json
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.access.shell import Shell
from tests.hospital import CATALOGUE, Hospital
from tests.records.vectors import read
from webapp import adopt, calc, withdraw
from webapp import at_server as frame
from webapp.exchange_formats import catalogue_csv_writing
from webapp.flow import folding, reference
from webapp.store import database

BY_ROOK = ("--administrator", "rook")
BY_VERRILL = ("--surgeon", "verrill")


def in_force(kind: str) -> Any:  # noqa: ANN401 - a body as JSON has it
    """Return what is in force of a kind."""
    with database.connection():
        return folding.in_force()[kind]


class TestCatalogue:
    """As JSON and as a table."""

    def test_in_an_administrators_name(
        self, at_server: Hospital, shell: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """A right file is adopted; a wrong passphrase, role, field or file is said and is not."""
        file = tmp_path / "catalogue.json"
        line = (adopt.main, "catalogue", file)
        for content, says in (
            (json.dumps({**CATALOGUE, "title": ""}).encode(), "title"),
            (b"{", "is not JSON"),
            ('{"title": "é"}'.encode("latin-1"), "is not JSON in UTF-8"),
            (b"[]", "one JSON object"),
        ):
            file.write_bytes(content)
            assert says in shell.refused(*line, *BY_ROOK)
        none = shell.refused(adopt.main, "catalogue", tmp_path / "none", *BY_ROOK)
        assert "none cannot be read: No such file or directory." in none
        file.write_text(json.dumps(CATALOGUE))
        shell.refused(*line, "--administrator", "fenn")
        with monkeypatch.context() as patch:
            patch.setattr(frame, "ask_for", lambda _name: "wrong wrong wrong")
            shell.refused(*line, *BY_ROOK)
        assert "adopted by A. Rook" in shell.done(*line, *BY_ROOK)
        assert in_force("catalogue")["body"] == CATALOGUE

    def test_from_a_table(self, at_server: Hospital, shell: Shell, tmp_path: Path) -> None:
        """Every error is printed by row and nothing adopted; a right table is in force."""
        models = [{**model, "index_e4": None} for model in CATALOGUE["models"]]
        file = tmp_path / "autumn.csv"
        text = catalogue_csv_writing.write(models)
        file.write_text(text.replace("0.50", "0,50").replace("no,", "perhaps,"))
        line = (adopt.main, "catalogue", file, *BY_ROOK)
        before = in_force("catalogue")
        said = shell.refused(*line)
        assert "row 2: It has 15 cells" in said and said.endswith("Nothing was adopted.\n")
        assert in_force("catalogue") == before
        file.write_text(text)
        shell.done(*line, "--invented")
        shell.done(*line, "--title", "Winter")
        with database.connection():
            newest, older = (one.body for one in reference.versions("catalogue.adopted")[:2])
        assert older == {"title": "autumn", "demo": 1, "models": models}
        assert newest == {"title": "Winter", "demo": 0, "models": models}


class TestVaultModel:
    """A centre's own model: by a surgeon, from the calculation, and out of force again."""

    def test_from_the_calculation(
        self, at_server: Hospital, shell: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """The printed answer of ``calc vault-model`` is adopted by a surgeon, by nobody else."""
        prior = {"mean": [500, 550], "sd": [150, 160], "sigma0_um": 175, "a0": 4, "b0": 91875}
        asked = {
            "prior": prior, "features": ["one", "excess_mm"], "centre": {"excess_mm": 0.5},
            "observations": [{"length_mm": 12.5, "diameter_mm": 12.0, "vault_um": 480}],
        }  # fmt: skip
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(json.dumps(asked).encode())))
        printed = json.loads(shell.done(calc.main, "vault-model"))
        file = tmp_path / "model.json"
        said = {"title": "Ours", "diameter_kind": "sulcus_to_sulcus", "device": None}
        file.write_text(json.dumps({**said, "fitted_on": "One eye", "from_calc": printed}))
        line = (adopt.main, "vault-model", file)
        assert "needs the role surgeon" in shell.refused(*line, *BY_ROOK)
        assert "adopted by Dr S. Verrill" in shell.done(*line, *BY_VERRILL)
        (model,) = in_force("vault_models")
        assert (model["body"]["n_eyes"], model["body"]["a_e3"]) == (1, 4500)
        file.write_text(json.dumps({**said, "fitted_on": "One eye", "from_calc": {}}))
        assert "from_calc: This is not the answer" in shell.refused(*line, *BY_VERRILL)

    def test_is_withdrawn(self, at_server: Hospital, shell: Shell, tmp_path: Path) -> None:
        """By its id as the list prints it, with a surgeon's name, reason and passphrase."""
        body = read("kinds")["payloads"]["vault_model.adopted"]["body"]
        file = tmp_path / "model.json"
        file.write_text(json.dumps(body))
        assert shell.done(withdraw.main, "vault-model") == "No vault model was adopted.\n"
        shell.done(adopt.main, "vault-model", file, *BY_VERRILL)
        begins, rest = shell.done(withdraw.main, "vault-model").strip().split("  ")
        assert rest == f"{body['title']}, in force"
        why = ("--reason", "The scanner was calibrated anew.")
        for wrong, says in (
            ((begins, *why), "--surgeon"),
            ((begins[:6], *why, *BY_VERRILL), "begins so"),
            ((begins, *BY_VERRILL), "ten characters"),
            ((begins, *why, "--surgeon", "rook"), "needs the role surgeon"),
        ):
            assert says in shell.refused(withdraw.main, "vault-model", *wrong)
        said = shell.done(withdraw.main, "vault-model", begins, *why, *BY_VERRILL)
        assert "Withdrawn: " + body["title"] in said
        listed = shell.done(withdraw.main, "vault-model")
        assert "withdrawn: The scanner was calibrated anew." in listed


class TestLimits:
    """The limits of the rules."""

    def test_one_that_no_rule_reads(
        self, at_server: Hospital, shell: Shell, tmp_path: Path
    ) -> None:
        """A slip in a limit's name would stop every plan: it is named and nothing is adopted."""
        before = in_force("limits")
        file = tmp_path / "limits.json"
        file.write_text(
            '{"title": "Ours", "values": {"age_stop": 16, "depth_stop_below_um": 2800}}'
        )
        said = shell.refused(adopt.main, "limits", file, *BY_ROOK)
        assert "that they can't have: age_stop. Nothing was adopted" in said
        assert in_force("limits") == before


class TestExample:
    """What ``--example`` prints."""

    @pytest.mark.parametrize("what", ["catalogue", "limits"])
    def test_can_be_adopted_as_printed(
        self,
        at_server: Hospital,
        shell: Shell,
        tmp_path: Path,
        capsys: pytest.CaptureFixture[str],
        what: str,
    ) -> None:
        """It is a whole body, and a catalogue says that it is invented."""
        with pytest.raises(SystemExit, match="0"):
            adopt.main(["--example", what])
        file = tmp_path / "example.json"
        file.write_text(capsys.readouterr().out)
        shell.done(adopt.main, what, file, *BY_ROOK)
        body = in_force(what)["body"]
        assert body == json.loads(file.read_text())
        assert body.get("demo") == (1 if what == "catalogue" else None)
