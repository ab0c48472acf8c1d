"""Every worked value by its id: through the command, or the function that works it out.

``worked_values.json`` says of each id where its value stands: by name in the files that go with
one calculation, or in place. An id that nothing works out says why.
"""

import json
from pathlib import Path
from typing import Any

import pytest

from tests.calc.conftest import Run
from tests.calc.worked_functions import FUNCTIONS
from tests.core.test_worked_values import differences

VECTORS = Path(__file__).resolve().parents[1] / "vectors"
BY_CALCULATION = (
    "optics", "lens_power", "rotation", "vault", "endothelium", "exchange", "astigmatism",
    "statistics", "gs1",
)  # fmt: skip
WORKED: dict[str, list[Any]] = json.loads((VECTORS / "worked_values.json").read_bytes())
HELD: dict[str, dict[str, Any]] = {
    vector["id"]: vector
    for name in BY_CALCULATION
    for vector in json.loads((VECTORS / f"{name}.json").read_bytes())
    if "calc" in vector
}
STEPS = [
    pytest.param(HELD[step] if isinstance(step, str) else step, id=f"{name}-{place}")
    for name, steps in WORKED.items()
    for place, step in enumerate(steps)
    if "nothing" not in step
]


@pytest.mark.parametrize("step", STEPS)
def test_worked_value(run: Run, step: dict[str, Any]) -> None:
    """The value is found to the tolerance that was given with it."""
    if "function" in step:
        found = FUNCTIONS[step["function"]](**step["given"])
    else:
        code, text = run(json.dumps(step["input"]), step["calc"])
        assert code == 0, text
        found = json.loads(text)
    tolerance = step.get("tolerance", 0.0)
    assert differences(step["expected"], found, tolerance) == [], step["source"]


def test_every_id_is_there() -> None:
    """89 ids, none empty; a value has its source, and what has no value has its reason."""
    assert len(WORKED) == 89
    inline = [step for steps in WORKED.values() for step in steps if isinstance(step, dict)]
    assert all(WORKED.values())
    assert [step for step in inline if len(step.get("source") or step["nothing"]) < 15] == []


def test_few_are_worked_out_by_nothing() -> None:
    """Only two published limits of agreement have no function; every other id is put to one."""
    silent = [name for name, steps in WORKED.items() if all("nothing" in step for step in steps)]
    assert silent == ["C-loa-zhu", "C-loa-rein"]
