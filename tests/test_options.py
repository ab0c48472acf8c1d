"""The command line's options: help and slips are answered before anything is set up."""

import sys
from pkgutil import resolve_name

import pytest

from webapp import __main__ as command_line
from webapp import options


@pytest.fixture
def typed(monkeypatch: pytest.MonkeyPatch) -> pytest.MonkeyPatch:
    """Fail a test in which a set-up begins."""

    def begun(**_how: object) -> None:
        raise AssertionError("the set-up began")

    monkeypatch.setattr(command_line, "set_up", begun)
    return monkeypatch


class TestBeforeTheSetUp:
    """What needs neither the environment nor the browser's files."""

    @pytest.mark.parametrize("command", sorted(options.OF_COMMAND))
    def test_help_of_every_command(
        self, typed: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], command: str
    ) -> None:
        """Printed at once, with the command as it is typed."""
        typed.setattr(sys, "argv", ["webapp", command, "--help"])
        with pytest.raises(SystemExit, match="0"):
            command_line.main()
        assert f"usage: python3 -m webapp {command}" in capsys.readouterr().out

    @pytest.mark.parametrize(
        ("line", "why"),
        [
            ("demo --port 99999", "'99999' is not a port"),
            ("demo --port 0", "'0' is not a port"),
            ("serve --listen 8080", "'8080' is not HOST:PORT"),
            ("serve --listen 127.0.0.1:99999", "'99999' is not a port"),
            ("build --all", "unrecognized arguments: --all"),
            ("users wrong", "invalid choice: 'wrong'"),
            ("adopt catalogue", "required: FILE"),
            ("adopt catalogue x.json", "one of the arguments --administrator --surgeon is req"),
            ("init --name X", "required: --site, --administrator"),
        ],
    )
    def test_a_slip_is_named(
        self, typed: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], line: str, why: str
    ) -> None:
        """Exit code 2 and the word at fault."""
        typed.setattr(sys, "argv", ["webapp", *line.split()])
        with pytest.raises(SystemExit, match="2"):
            command_line.main()
        assert why in capsys.readouterr().err

    @pytest.mark.parametrize(
        ("line", "why"), [([], "Which command?"), (["sing"], "There is no command 'sing'.")]
    )
    def test_no_such_command(
        self,
        typed: pytest.MonkeyPatch,
        capsys: pytest.CaptureFixture[str],
        line: list[str],
        why: str,
    ) -> None:
        """The commands there are, then what was wrong."""
        typed.setattr(sys, "argv", ["webapp", *line])
        assert command_line.main() == 2
        said = capsys.readouterr().err
        assert "serve" in said
        assert said.endswith(f"\n{why}\n")

    def test_every_command_but_calc_is_listed(self) -> None:
        """``calc`` reads its own line."""
        assert options.OF_COMMAND.keys() == command_line.COMMANDS.keys() - {"calc"}

    def test_every_command_leads_somewhere(self) -> None:
        """Each names a function that is there; the set-up alone does what ``build`` is for."""
        functions = {name: one.function for name, one in command_line.COMMANDS.items()}
        assert functions.pop("build") is None
        for name, function in functions.items():
            assert callable(resolve_name(str(function))), name


class TestListen:
    """Where a server may be told to listen."""

    @pytest.mark.parametrize("address", ["127.0.0.1:8080", "[::1]:80", "eyes.example:65535"])
    def test_host_and_port(self, address: str) -> None:
        """Taken as typed."""
        assert options.serve().parse_args(["--listen", address]).listen == address
