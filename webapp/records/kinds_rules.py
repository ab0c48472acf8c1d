"""Rules between the fields of one record, by name; ``static/records/kinds_rules.js`` twins it.

A rule takes the object that it is listed with in ``kinds.json`` and the whole payload, both with
every field already checked alone. It returns the field and the sentence of what is wrong, or None.
The rules themselves stand in ``rules/``, one subject a file.
"""

from webapp.records.rules import decisions, orders, person, readings, reference, surgery
from webapp.records.rules.rule import Rule

_PARTS = (person, readings, decisions, orders, surgery, reference)

RULES: dict[str, Rule] = {rule.__name__: rule for part in _PARTS for rule in part.RULES}
