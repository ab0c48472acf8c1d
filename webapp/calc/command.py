"""``python3 -m webapp calc NAME``: one JSON object on standard input, one on standard output."""

import io
import json
import sys
from typing import BinaryIO

from webapp.calc import known
from webapp.calc.reading import value_of
from webapp.core.calc import calculations
from webapp.core.errors import BadInput
from webapp.core.fields import Calculation

USAGE = """\
python3 -m webapp calc --list            the calculations, one a line
python3 -m webapp calc NAME --help       the fields of one, with units and ranges
python3 -m webapp calc NAME              one JSON object from standard input
python3 -m webapp calc NAME --lines      one JSON object a line, one answer a line, in order
"""

OPTIONS = ("--list", "--help", "-h", "--lines")
REFUSED = 2
INTERRUPTED = 130


def main(argv: list[str]) -> int:
    """Run the command line after ``calc`` and return the exit code: 0 answered, 2 refused."""
    try:
        return run(argv)
    except BadInput as refusal:
        print(refused(refusal))
        return REFUSED
    except BrokenPipeError:
        # The reader has gone. Without a standard output the interpreter has nothing left to flush.
        sys.stdout = None
        return 0
    except KeyboardInterrupt:
        return INTERRUPTED


def run(argv: list[str]) -> int:
    """Do what the arguments ask. Raises BadInput if they, or the input, cannot be used."""
    options = [word for word in argv if word.startswith("-")]
    names = [word for word in argv if not word.startswith("-")]
    check_options(options)
    if "--list" in options:
        print("\n".join(f"{one.name}: {one.summary}" for one in known.ALL))
        return 0
    wants_help = "--help" in options or "-h" in options
    if wants_help and not names:
        print(USAGE, end="")
        return 0
    check_names(names)
    calculation = calculations.find(names[0], known.ALL)
    if wants_help:
        print("\n".join(calculations.help_lines(calculation)))
    elif "--lines" in options:
        answer_lines(calculation, typed())
    else:
        print(answered(calculation, typed().read()))
    return 0


def typed() -> BinaryIO:
    """Return the standard input, an empty one if the caller has closed it."""
    return io.BytesIO() if sys.stdin is None else sys.stdin.buffer


def check_options(options: list[str]) -> None:
    """Refuse an option that there is not, rather than answer as if it had not been asked for."""
    for option in options:
        if option not in OPTIONS:
            raise BadInput("arguments", "the options are --list, --help and --lines")


def check_names(names: list[str]) -> None:
    """Refuse anything but one name."""
    if len(names) != 1:
        raise BadInput("name", "give the name of one calculation; --list prints them")


def answered(calculation: Calculation, raw: bytes) -> str:
    """Return the answer to some JSON as one line of JSON. Raises BadInput."""
    answer = calculations.worked(calculation, value_of(raw))
    try:
        return json.dumps(answer, allow_nan=False)
    except ValueError:
        raise BadInput("input", "these values have no finite answer") from None


def refused(refusal: BadInput) -> str:
    """Return a refusal as one line of JSON."""
    return json.dumps({"error": {"field": refusal.field, "message": refusal.message}})


def answer_lines(calculation: Calculation, stream: BinaryIO) -> None:
    """Answer each line as it comes, refusals included, so that answers stay beside questions."""
    for raw in stream:
        try:
            line = answered(calculation, raw)
        except BadInput as refusal:
            line = refused(refusal)
        sys.stdout.write(line + "\n")
        sys.stdout.flush()
