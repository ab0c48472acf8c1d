"""The command line of the calculations: what goes in, what comes out, and the exit code."""

import json
import subprocess
import sys

import pytest

from tests.calc.conftest import Run
from webapp.calc import known
from webapp.core.fields import Calculation

GOOD = '{"refraction": {"sphere_D": -10, "cylinder_D": -2.5, "axis_deg": 20}}'


def field_of(text: str) -> str:
    """Return the field of a refusal, which is all that was printed."""
    error = json.loads(text)["error"]
    assert set(error) == {"field", "message"}
    assert len(error["message"]) > 10
    return str(error["field"])


def test_answer(run: Run) -> None:
    """A good object is answered in JSON, unrounded, with exit code 0."""
    code, text = run(GOOD, "power-vector")
    assert code == 0
    assert json.loads(text)["J0_D"] == pytest.approx(0.9575555538987225, abs=1e-15)


# What is typed, and the field that the refusal names.
BAD = [
    ("", "input"),
    (" \n", "input"),
    ("{", "input"),
    ("[1]", "input"),
    ("null", "input"),
    ("{} {}", "input"),
    (b"\xff{}", "input"),
    ("[" * 100_000, "input"),
    ('{"refraction": ' * 5_000, "input"),
    ('{"refraction": ' + "1" * 6_000 + "}", "input"),
    ('{"refraction": ' + "1" * 60 + "}", "refraction"),
    ("{}", "refraction"),
    ('{"refraction": 1, "refraction": 2}', "refraction"),
    (GOOD.replace("-10", "1e999"), "refraction.sphere_D"),
    (GOOD.replace("-10", "NaN"), "refraction.sphere_D"),
    (GOOD.replace("-10", "-Infinity"), "refraction.sphere_D"),
    (GOOD.replace("-10", '"-10"'), "refraction.sphere_D"),
    (GOOD.replace("-10", "true"), "refraction.sphere_D"),
    (GOOD.replace("-10", "−10"), "input"),
    (GOOD.replace('"axis_deg": 20', '"axis_deg": 20, "axis_deg": 20'), "refraction.axis_deg"),
    (GOOD.replace("cylinder_D", "cylinder_mm"), "refraction.cylinder_mm"),
    (GOOD.replace("cylinder_D", "\\ud800"), "refraction.\ud800"),
]


@pytest.mark.parametrize(("typed", "field"), BAD, ids=range(len(BAD)))
def test_refusal(run: Run, typed: str | bytes, field: str) -> None:
    """Bad input is refused by field in JSON, with exit code 2 and never a traceback."""
    code, text = run(typed, "power-vector")
    assert code == 2
    assert field_of(text) == field


@pytest.mark.parametrize(
    ("words", "field"),
    [
        ([], "name"),
        (["lens-colour"], "name"),
        (["vertex", "vertex"], "name"),
        (["vertex", "--fast"], "arguments"),
        (["--list", "--fast"], "arguments"),
        (["--help", "--fast"], "arguments"),
        (["lens-colour", "--help"], "name"),
        (["lens-colour", "--lines"], "name"),
    ],
)
def test_bad_arguments(run: Run, words: list[str], field: str) -> None:
    """Arguments that make no sense are refused in the same way."""
    code, text = run("{}", *words)
    assert (code, field_of(text)) == (2, field)


def test_lines(run: Run) -> None:
    """One answer a line, in order, refusals and empty lines included, exit code 0."""
    code, text = run(f"{GOOD}\n{{}}\n\nnonsense\n{GOOD}", "power-vector", "--lines")
    lines = [json.loads(line) for line in text.splitlines()]
    assert code == 0
    assert ["error" in line for line in lines] == [False, True, True, True, False]
    assert lines[0] == lines[4]


def test_lines_are_answered_as_they_come() -> None:
    """Each line is answered before the next is written: nothing waits in a buffer."""
    words = [sys.executable, "-m", "webapp", "calc", "power-vector", "--lines"]
    with subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as door:
        assert door.stdin is not None
        assert door.stdout is not None
        for typed in (GOOD, "{}", GOOD):
            door.stdin.write(typed + "\n")
            door.stdin.flush()
            assert ("error" in json.loads(door.stdout.readline())) is (typed == "{}")
        door.stdin.close()
        assert door.wait(timeout=20) == 0


def test_a_reader_that_leaves_early() -> None:
    """A closed pipe ends the command without a traceback."""
    words = [sys.executable, "-m", "webapp", "calc", "power-vector", "--lines"]
    with subprocess.Popen(
        words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as door:
        assert door.stdout is not None
        door.stdout.close()
        _, said = door.communicate((GOOD + "\n").encode() * 20_000, timeout=60)
    assert said == b""


def test_list(run: Run) -> None:
    """The list names each calculation with one line."""
    code, text = run("", "--list")
    assert code == 0
    names = [line.split(":")[0] for line in text.splitlines()]
    assert names == [calculation.name for calculation in known.ALL]


@pytest.mark.parametrize("calculation", known.ALL, ids=lambda one: str(one.name))
def test_help(run: Run, calculation: Calculation) -> None:
    """The help of each calculation names its fields with their ranges."""
    code, text = run("", calculation.name, "--help")
    assert code == 0
    for field in calculation.input.build.fields:
        assert f"  {field.name}: " in text


def test_help_without_a_name(run: Run) -> None:
    """Asking for help alone says how to ask."""
    code, text = run("", "--help")
    assert code == 0
    assert "calc --list" in text
