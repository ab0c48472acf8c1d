"""What a rule between the fields of one record takes and gives."""

from collections.abc import Callable
from typing import Any

Values = dict[str, Any]
Problem = tuple[str, str] | None
Rule = Callable[[Values, Values], Problem]
"""Takes the object that it is listed with and the whole payload; gives field and sentence."""
